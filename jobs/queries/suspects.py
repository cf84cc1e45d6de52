"""Which assemblies may be at fault: what the flags and readings point at first, then the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import Component, FlagPointer, Position, Reading, Session, StoredFlag

Spot = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Suspect:
    """A unit at a place; `why` says what points at it, empty when nothing does."""

    component: Component
    position: str
    why: tuple[str, ...] = field(default=())

    @property
    def key(self) -> str:
        return f"{self.component.pk}:{self.position}"

    @property
    def words(self) -> str:
        place = str(Position(self.position).label) if self.position else ""
        return f"{self.component.name}, {place}" if place else self.component.name


def suspects_of(session: Session) -> tuple[Suspect, ...]:
    """Every unit of the session's platform, nearest suspect first. Four queries."""
    spots = {(one.pk, place): one for one in _components(session) for place in _places(one)}
    why: dict[Spot, list[str]] = {}
    for spot, said in (*_from_flags(session, spots), *_from_readings(session, spots)):
        reasons = why.setdefault(spot, [])
        if said not in reasons:
            reasons.append(said)
    pointed = [Suspect(spots[spot], spot[1], tuple(reasons)) for spot, reasons in why.items()]
    rest = [Suspect(one, spot[1]) for spot, one in spots.items() if spot not in why]
    return (*pointed, *rest)


def _components(session: Session) -> Iterable[Component]:
    platform = session.version.platform_id if session.version else session.vehicle.platform_id
    return Component.objects.filter(platform=platform, retired=False).select_related("system")


def _places(component: Component) -> list[str]:
    return component.positions.split() or [""]


def _from_flags(session: Session, spots: dict[Spot, Component]) -> Iterator[tuple[Spot, str]]:
    flags = StoredFlag.objects.filter(read__session=session, definition__isnull=False)
    codes = {flag.definition_id: flag for flag in flags.select_related("definition")}
    pointers = FlagPointer.objects.filter(flag__in=codes).order_by("order", "flag__code")
    for pointer in pointers:
        flag = codes[pointer.flag_id]
        place = pointer.position or (flag.definition.position if flag.definition else "")
        for spot in _spots_at(pointer.component_id, place, spots):
            yield spot, _("flag %s points at it") % flag.code


def _from_readings(session: Session, spots: dict[Spot, Component]) -> Iterator[tuple[Spot, str]]:
    outside = (
        Reading.objects.standing()
        .filter(session=session, verdict=VerdictKind.OUTSIDE, component__isnull=False)
        .select_related("quantity")
    )
    for reading in outside:
        for spot in _spots_at(reading.component_id or 0, reading.position, spots):
            yield spot, _("%s outside its limits") % reading.quantity.name


def _spots_at(component: int, place: str, spots: dict[Spot, Component]) -> list[Spot]:
    """The place itself, or every place of the component when it has no such place."""
    if (component, place) in spots:
        return [(component, place)]
    return [spot for spot in spots if spot[0] == component and not place]
