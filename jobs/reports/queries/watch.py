"""Failures and units at risk, day by day, for each kind of component and each batch.

Past and present are counted alike: a unit is at risk on a day when its vehicle was seen here within
the 365 days before. Later visits tell nothing of earlier days, so that an alarm is one that would
have been raised on its day. Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

import numpy as np
from django.db.models.functions import TruncDate
from django.utils import timezone
from numpy.typing import NDArray

from jobs.models import FittedUnit
from jobs.reports.queries.kinds import Kind, kinds_of
from shop.actor import Actor
from shop.models import OdometerReading

SEEN_WITHIN: Final = 365
"""Days for which a vehicle that was seen is taken to be still about."""

Whole = NDArray[np.int64]
Many = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Group:
    """A kind of component, or one batch of it (then `supplier` and `batch` say which)."""

    key: str
    name: str
    supplier: str = ""
    batch: str = ""


@dataclass(frozen=True, slots=True)
class Days:
    """Of one group: `failures` and `exposure` (unit-days) for each day from `first_day` on."""

    group: Group
    failures: Whole
    exposure: Many


@dataclass(frozen=True, slots=True)
class Followed:
    """From the day after the first sight of any vehicle to the last day counted.

    `first_day`: its ordinal. `batches`: those that were fitted here with their batch on record.
    """

    first_day: int
    kinds: tuple[Days, ...]
    batches: tuple[Days, ...]


@dataclass(frozen=True, slots=True)
class _Units:
    """One entry a unit. `kind` and `batch`: places in the lists of groups; batch -1: none known."""

    vehicle: Whole
    kind: Whole
    batch: Whole
    start: Whole
    end: Whole
    failed: NDArray[np.bool_]
    here: NDArray[np.bool_]


def followed(actor: Actor, until: date) -> Followed:
    """Four queries, whatever there is; the rest is arithmetic on whole columns."""
    kinds = kinds_of(actor)
    batches = _batches(actor, until, kinds)
    groups = list(dict.fromkeys(batches.values()))
    place = {group: at for at, group in enumerate(groups)}
    units = _units(actor, until, kinds, {pk: place[one] for pk, one in batches.items()})
    contacts = _contacts(actor, until)
    if not units.start.size or not contacts.size:
        return Followed(until.toordinal(), (), ())
    first, last = int(contacts[:, 1].min()) + 1, until.toordinal()
    at_risk = _At(units, contacts, first, last)
    names = [Group(kind.key, kind.name) for kind in kinds]
    return Followed(first, at_risk.days(units.kind, names), at_risk.days(units.batch, groups))


class _At:
    """Which units were at risk from when to when, and which failures fell into that."""

    def __init__(self, units: _Units, contacts: Whole, first: int, last: int) -> None:
        self.first, self.length = first, max(0, last - first + 1)
        unit, low, high = _stretches(units, contacts, last)
        self.unit, self.low, self.high = unit, low, high
        same_day = units.failed & units.here & (units.start == units.end)
        seen = np.zeros(units.start.size, dtype=np.bool_)
        seen[unit[high == units.end[unit]]] = True
        self.failed = np.flatnonzero(units.failed & (seen | same_day))
        self.same_day = np.flatnonzero(same_day & (units.end >= first))
        self.end = units.end

    def days(self, of: Whole, groups: list[Group]) -> tuple[Days, ...]:
        """Added up by group and day; a unit that failed on the day it came counts half a day."""
        exposure = np.zeros((len(groups), self.length + 1))
        failures = np.zeros((len(groups), self.length), dtype=np.int64)
        row = of[self.unit]
        known = row >= 0
        np.add.at(exposure, (row[known], self.low[known] + 1 - self.first), 1)
        np.subtract.at(exposure, (row[known], self.high[known] + 1 - self.first), 1)
        exposure = np.cumsum(exposure, axis=1)[:, : self.length]
        for index, add_to, amount in (
            (self.same_day, exposure, 0.5),
            (self.failed, failures, 1),
        ):
            some = index[(of[index] >= 0) & (self.end[index] >= self.first)]
            np.add.at(add_to, (of[some], self.end[some] - self.first), amount)
        return tuple(
            Days(group, failures[place], exposure[place]) for place, group in enumerate(groups)
        )


def _stretches(units: _Units, contacts: Whole, last: int) -> tuple[Whole, Whole, Whole]:
    """Unit, and (low, high]: from one contact to the next, at most 365 days, while in place."""
    vehicles, seen = contacts[:, 0], contacts[:, 1]
    until = np.append(seen[1:], last)
    until[np.append(vehicles[1:] != vehicles[:-1], True)] = last
    until = np.minimum(until, seen + SEEN_WITHIN)
    begins = np.searchsorted(vehicles, units.vehicle, side="left")
    counts = np.searchsorted(vehicles, units.vehicle, side="right") - begins
    unit = np.repeat(np.arange(units.vehicle.size), counts)
    nth = np.arange(unit.size) - np.repeat(np.cumsum(counts) - counts, counts)
    contact = begins[unit] + nth
    low = np.maximum(units.start[unit], seen[contact])
    high = np.minimum(units.end[unit], until[contact])
    some = low < high
    return unit[some], low[some], high[some]


def _contacts(actor: Actor, until: date) -> Whole:
    """Vehicle and day of each sight, in order, each day once."""
    end = timezone.make_aware(datetime.combine(until + timedelta(days=1), time.min))
    rows = (
        OdometerReading.objects.of(actor)
        .filter(read_at__lt=end)
        .annotate(day=TruncDate("read_at"))
        .order_by("vehicle_id", "day")
        .values_list("vehicle_id", "day")
        .distinct()
    )
    pairs = [(vehicle, day.toordinal()) for vehicle, day in rows]
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _batches(actor: Actor, until: date, kinds: tuple[Kind, ...]) -> Mapping[int, Group]:
    """The batch of each unit that has one on record, in the order of names."""
    names = {component: kind for kind in kinds for component in kind.components}
    rows = (
        FittedUnit.objects.of(actor)
        .filter(in_day__lte=until.toordinal())
        .exclude(batch="")
        .order_by("supplier", "batch", "pk")
        .values_list("pk", "component_id", "supplier", "batch")
    )
    return {
        pk: Group(names[component].key, names[component].name, supplier, batch)
        for pk, component, supplier, batch in rows
    }


def _units(
    actor: Actor, until: date, kinds: tuple[Kind, ...], batches: Mapping[int, int]
) -> _Units:
    """All that were seen up to `until`; what became of them later is not known then."""
    last = until.toordinal()
    kind_of = {component: at for at, kind in enumerate(kinds) for component in kind.components}
    rows = list(
        FittedUnit.objects.of(actor)
        .filter(in_day__lte=last)
        .order_by()
        .values_list("pk", "vehicle_id", "component_id", "in_day", "out_day", "entry", "exit")
    )
    numbers = np.array([row[:5] for row in rows], dtype=np.int64).reshape(-1, 5)
    left = np.array([row[6] != "" for row in rows], dtype=np.bool_) & (numbers[:, 4] <= last)
    failed = np.array([row[6] == FittedUnit.Exit.FAILED for row in rows], dtype=np.bool_)
    return _Units(
        vehicle=numbers[:, 1],
        kind=np.array([kind_of[row[2]] for row in rows], dtype=np.int64),
        batch=np.array([batches.get(row[0], -1) for row in rows], dtype=np.int64),
        start=numbers[:, 3],
        end=np.where(left, numbers[:, 4], last),
        failed=failed & left,
        here=np.array([row[5] == FittedUnit.Entry.FITTED for row in rows], dtype=np.bool_),
    )
