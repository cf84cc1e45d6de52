"""The units that are on a vehicle now, as far as this workshop knows. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Final

from django.utils.timezone import localtime

from jobs.models import FittedUnit, RepairOrder
from jobs.queries.estimate import place_words
from shop import clock, units
from shop.actor import Actor
from shop.models import Vehicle

_MONTH: Final = 365.25 / 12


@dataclass(frozen=True, slots=True)
class OnIt:
    """A unit, and how old it is and how far it has gone; "" where that is not known."""

    unit: FittedUnit
    where: str
    since: date
    months: str
    driven: str


@dataclass(frozen=True, slots=True)
class Seen:
    """Units of one component that were only ever seen with the vehicle, and where they sit."""

    component: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class UnitsOnIt:
    """`known`: fitted here, or with something of their own on record. `seen`: the others, `many`
    altogether, since `seen_since`."""

    known: tuple[OnIt, ...]
    seen: tuple[Seen, ...]
    many: int
    seen_since: date | None


def units_on(actor: Actor, vehicle: Vehicle) -> UnitsOnIt:
    """In the order of systems and names. One query."""
    rows = FittedUnit.objects.filter(vehicle=vehicle, left_on__isnull=True).select_related(
        "component"
    )
    found = rows.order_by("component__system__order", "component__name", "position", "pk")
    known: list[OnIt] = []
    seen: list[OnIt] = []
    for row in found:
        (known if _has_papers(row) else seen).append(_on_it(actor, row))
    since = min((one.since for one in seen), default=None)
    kinds = groupby(seen, key=lambda one: one.unit.component)
    grouped = (Seen(kind.name, tuple(one.where for one in of if one.where)) for kind, of in kinds)
    return UnitsOnIt(tuple(known), tuple(grouped), len(seen), since)


def last_contact(vehicle: Vehicle) -> date | None:
    """The day on which it was last here, or its odometer last read; None for one never seen."""
    read = vehicle.odometer_readings.order_by("-read_at").values_list("read_at", flat=True).first()
    closed = (
        RepairOrder.objects.filter(vehicle=vehicle, closed_at__isnull=False)
        .order_by("-closed_at")
        .values_list("closed_at", flat=True)
        .first()
    )
    return max((localtime(at).date() for at in (read, closed) if at is not None), default=None)


def _has_papers(row: FittedUnit) -> bool:
    return row.entry != FittedUnit.Entry.FIRST_SEEN or bool(row.serial_number or row.batch)


def _on_it(actor: Actor, row: FittedUnit) -> OnIt:
    return OnIt(
        row,
        place_words(row.position),
        date.fromordinal(row.in_day) if row.in_day else row.entered_on,
        _months(row),
        _driven(actor, row),
    )


def _months(row: FittedUnit) -> str:
    """Its age today, in whole months."""
    if row.born_day is None:
        return ""
    return str(int((clock.today().toordinal() - row.born_day) / _MONTH))


def _driven(actor: Actor, row: FittedUnit) -> str:
    """What it had gone when the vehicle was last seen, in the workshop's unit."""
    if row.born_m is None or row.out_m is None:
        return ""
    unit = actor.workshop.distance_unit
    value = units.from_si(float(row.out_m - row.born_m), unit)
    return f"{units.format_number(value, decimals=0)} {units.symbol_of(unit)}"
