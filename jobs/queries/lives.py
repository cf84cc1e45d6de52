"""What is known of vehicles as the rules of jobs.lives ask for it, for one or for a workshop.

The number of queries does not grow with the vehicles.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils import timezone

from diagnostics.models import Component
from jobs.lives.findings import Fitting, Said, first_found
from jobs.lives.rows import History, Place, Sight, Swap
from jobs.models import Complaint, FittedUnit, Replacement
from jobs.stages import Stage
from shop.models import OdometerReading, Vehicle

_SWAP_COLUMNS = (
    "complaint__order__vehicle",
    "component",
    "position",
    "fitted_at",
    "complaint__order__taken_in_at",
    "complaint__order__odometer_in__distance_m",
    "unit_off",
    "unit_off__exit",
    "unit_off__entry",
    "unit_on",
    "unit_on__entered_at_m",
    "unit_on__entered_on",
    "complaint__order",
)
_SAID_COLUMNS = (
    *("order__vehicle", "order__taken_in_at", "order", "order__closed_at", "pk", "again"),
    *("system", "conclusion__component__system", "conclusion__component", "conclusion__position"),
    *("decision", "order__odometer_in__distance_m"),
)


@dataclass(frozen=True, slots=True)
class Known:
    """One vehicle: its key and workshop, what bears on its units, and the rows kept of them."""

    vehicle: int
    workshop: int
    history: History
    kept: tuple[FittedUnit, ...]


def known(vehicles: QuerySet[Vehicle]) -> tuple[Known, ...]:
    """What is known of these vehicles, by key. Six queries."""
    rows = list(
        vehicles.order_by("pk").values_list(
            "pk", "workshop_id", "platform_id", "in_service_on", "gone_on"
        )
    )
    keys = [row[0] for row in rows]
    sights, swaps, kept = sights_of(keys), _swaps(keys), _kept(keys)
    pages = _pages({row[2] for row in rows if row[2] is not None})
    return tuple(
        Known(
            pk,
            workshop,
            History(
                sights=tuple(sights[pk]),
                places=_places(pages[platform], kept[pk]) if platform else (),
                swaps=tuple(swaps.get(pk, ())),
                in_service=_ordinal(in_service_on),
                gone_day=_ordinal(gone_on),
            ),
            tuple(kept[pk]),
        )
        for pk, workshop, platform, in_service_on, gone_on in rows
    )


def _places(pages: dict[int, tuple[str, ...]], kept: Iterable[FittedUnit]) -> tuple[Place, ...]:
    """Those of the platform, and those of it of which a row is kept: pages may drop a component,
    and a failure rate must not lose the units that did not fail."""
    of_pages = (Place(pk, position) for pk, positions in pages.items() for position in positions)
    of_rows = (Place(row.component_id, row.position) for row in kept if row.component_id in pages)
    return tuple(dict.fromkeys((*of_pages, *of_rows)))


def _pages(platforms: Collection[int]) -> dict[int, dict[int, tuple[str, ...]]]:
    """By platform the places of each of its components; none of one that was dropped."""
    found: dict[int, dict[int, tuple[str, ...]]] = defaultdict(dict)
    rows = Component.objects.filter(platform__in=platforms).order_by("pk")
    for pk, platform, positions, retired in rows.values_list(
        "pk", "platform", "positions", "retired"
    ):
        found[platform][pk] = () if retired else tuple(positions.split()) or ("",)
    return found


def sights_of(vehicles: Collection[int]) -> dict[int, list[Sight]]:
    """By vehicle every distance that was read, in order of time. One query."""
    found: dict[int, list[Sight]] = defaultdict(list)
    rows = OdometerReading.objects.filter(vehicle__in=vehicles).order_by("vehicle", "read_at", "pk")
    for vehicle, at, metres in rows.values_list("vehicle", "read_at", "distance_m"):
        found[vehicle].append(Sight(_day(at), metres))
    return found


def _swaps(vehicles: Collection[int]) -> dict[int, list[Swap]]:
    """By vehicle the units that were replaced. Two queries."""
    found: dict[int, list[Swap]] = defaultdict(list)
    fittings: dict[int, list[Fitting]] = defaultdict(list)
    rows = Replacement.objects.filter(
        unit_on__isnull=False,
        complaint__order__vehicle__in=vehicles,
    ).order_by("fitted_at", "pk")
    for row in rows.values_list(*_SWAP_COLUMNS):
        vehicle, component, position, fitted_at, came_at, came_m, off, exit_, entry, on, *put = row
        at_m, put_on, order = put
        place = Place(component, position)
        fittings[vehicle].append(Fitting(on, came_at, order, place, fitted_at))
        found[vehicle].append(
            Swap(
                place=place,
                came_day=_day(came_at),
                came_m=came_m,
                fitted_day=put_on.toordinal() if put_on else _day(fitted_at),
                fitted_m=at_m,
                failed=exit_ == FittedUnit.Exit.FAILED,
                another=entry == FittedUnit.Entry.ELSEWHERE,
                off=off,
                on=on,
            )
        )
    said = _said(vehicles)
    return {
        vehicle: _dated(swaps, said[vehicle], fittings[vehicle]) for vehicle, swaps in found.items()
    }


def _dated(swaps: list[Swap], said: list[Said], fittings: list[Fitting]) -> list[Swap]:
    """With when each was found to have failed, where that was at an earlier visit."""
    first = first_found(said, fittings)
    dated = []
    for swap in swaps:
        found = first.get(swap.on) if swap.on is not None else None
        earlier = found is not None and found.day <= swap.came_day
        dated.append(
            replace(swap, found_day=found.day, found_m=found.at_m) if found and earlier else swap
        )
    return dated


def _said(vehicles: Collection[int]) -> dict[int, list[Said]]:
    """By vehicle what the conclusions of its closed orders say."""
    found: dict[int, list[Said]] = defaultdict(list)
    rows = Complaint.objects.filter(
        order__vehicle__in=vehicles,
        order__stage=Stage.RELEASED,
        order__closed_at__isnull=False,
        conclusion__isnull=False,
    ).order_by("pk")
    for row in rows.values_list(*_SAID_COLUMNS):
        vehicle, came_at, order, closed_at, pk, again, *words = row
        system, of_component, component, position, decision, at_m = words
        found[vehicle].append(
            Said(
                came_at=came_at,
                order=order,
                closed_at=closed_at,
                complaint=pk,
                again=again,
                system=of_component or system,
                place=Place(component, position) if component else None,
                declined=decision == Complaint.Decision.DECLINED,
                day=_day(came_at),
                at_m=at_m,
            )
        )
    return found


def _kept(vehicles: Collection[int]) -> dict[int, list[FittedUnit]]:
    found: dict[int, list[FittedUnit]] = defaultdict(list)
    for row in FittedUnit.objects.filter(vehicle__in=vehicles).order_by("vehicle", "pk"):
        found[row.vehicle_id].append(row)
    return found


def _ordinal(day: date | None) -> int | None:
    return day.toordinal() if day else None


def _day(at: datetime) -> int:
    return timezone.localtime(at).date().toordinal()
