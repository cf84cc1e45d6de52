"""The plan of the car: what is known at each of its places, and which look it gets. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from diagnostics.compute.verdict import VerdictKind
from diagnostics.places import CORNERS

STEERING = "steering"
MODULATOR = "modulator"
PLACES = (*CORNERS, "front", "rear", STEERING, MODULATOR)

# The worst speaks for its place.
_SEVERITY: Mapping[str, int] = MappingProxyType(
    {
        VerdictKind.OUTSIDE: 3,
        VerdictKind.NEAR: 2,
        VerdictKind.NOT_JUDGED: 1,
        VerdictKind.WITHIN: 0,
    }
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One standing value: `what` names quantity and component, so that a repeat replaces it."""

    what: tuple[str, str]
    place: str
    shown: str
    verdict: str
    phase: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """What the plan shows at one place.

    verdict: the worst among the values that count there, "" when nothing was measured.
    says: the value to write beside it, or the codes that speak of it while nothing is measured.
    suspect: the flags or the technician point here; now: the step in hand is here.
    """

    place: str
    verdict: str = ""
    says: str = ""
    url: str = ""
    suspect: bool = False
    now: bool = False


def marks(
    measured: Iterable[Measured],
    *,
    codes: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
    suspect: str = "",
    now: str = "",
    about: str = "",
    link: str = "",
) -> dict[str, Mark]:
    """A mark for every place of the plan.

    measured: in the order taken; a later value of the same thing at the same place counts, but
        one outside its limits is not hidden by a good one of the same phase: a wire that opens
        only when moved stays open until it is repaired.
    about: key of the quantity in hand; where it was measured its value is the one written.
    link: address of what is known at a place, to which the place is appended.
    """
    latest: dict[tuple[str, tuple[str, str]], Measured] = {}
    for one in measured:
        before = latest.get((one.place, one.what))
        if before is None or not _still_bad(before, one):
            latest[(one.place, one.what)] = one
    found = {}
    for place in PLACES:
        values = [one for (where, _), one in latest.items() if where == place]
        spoken = _spokesman(values, about)
        worst = max(values, key=lambda one: _SEVERITY[one.verdict], default=None)
        found[place] = Mark(
            place=place,
            verdict=worst.verdict if worst else "",
            says=spoken.shown if spoken else ", ".join(codes.get(place, ())),
            url=f"{link}{place}" if link else "",
            suspect=place == suspect,
            now=place == now,
        )
    return found


def _still_bad(before: Measured, now: Measured) -> bool:
    return (
        before.phase == now.phase
        and before.verdict == VerdictKind.OUTSIDE
        and now.verdict != VerdictKind.OUTSIDE
    )


def _spokesman(values: list[Measured], about: str) -> Measured | None:
    same = [one for one in values if one.what[0] == about]
    ranked = same or sorted(values, key=lambda one: _SEVERITY[one.verdict])
    return ranked[-1] if ranked else None
