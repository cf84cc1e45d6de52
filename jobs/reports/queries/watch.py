"""Failures and units at risk, day by day, for each kind of component and each batch.

Past and present are counted alike: on every day a unit counts by how likely it is that a vehicle
unseen here for so long still comes (jobs.reports.stats.staying), as nobody knew on that day which
would. Whether a vehicle came again later tells nothing of the days before, so that exposure does
not grow thinner as a workshop grows older: counted in full for a year after each visit, 18 months
of a steady rate looked like one that falls. A failure counts on the day on which it was known, that
of the fitting, and not when the vehicle came: an alarm is one that could have been raised on its
day. Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from types import MappingProxyType
from typing import Final

import numpy as np
from django.db.models import Case, When
from django.db.models.functions import TruncDate
from django.utils import timezone
from numpy.typing import NDArray

from jobs.models import FittedUnit
from jobs.reports.queries.follow_up import gone_days
from jobs.reports.queries.kinds import Kind, seen_kinds
from jobs.reports.stats.staying import still_coming
from shop.actor import Actor
from shop.models import OdometerReading

FEWEST_GAPS: Final = 10
"""With fewer gaps between visits each vehicle is taken to come for a year after it was seen."""
_YEAR: Final = 365
_ROUNDING: Final = 1e-9
_LEVELS: Final = 20  # the share that still comes is taken in so many equal steps

Whole = NDArray[np.int64]
Many = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Group:
    """A kind of component, or one batch of it (then `supplier` and `batch` say which). `fitted`: it
    is put right by fitting another, so that its failures are counted."""

    key: str
    name: str
    supplier: str = ""
    batch: str = ""
    fitted: bool = True


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
    """One entry a unit. `kind` and `batch`: places in the lists of groups; batch -1: none known.
    `end`: of one that failed the day on which that was known. `failed`: as an event, and not when
    it was first seen."""

    vehicle: Whole
    kind: Whole
    batch: Whole
    start: Whole
    end: Whole
    failed: NDArray[np.bool_]


def followed(actor: Actor, until: date) -> Followed:
    """Five queries, whatever there is; the rest is arithmetic on whole columns."""
    kinds = seen_kinds(actor)
    batches = _batches(actor, until, kinds)
    groups = list(dict.fromkeys(batches.values()))
    place = {group: at for at, group in enumerate(groups)}
    units = _units(actor, until, kinds, {pk: place[one] for pk, one in batches.items()})
    contacts, gone = _contacts(actor, until), gone_days(actor.workshop, until)
    if not units.start.size or not contacts.size:
        return Followed(until.toordinal(), (), ())
    first, last = int(contacts[:, 1].min()) + 1, until.toordinal()
    steps = drops(contacts, last, gone)
    at_risk = _At(units, contacts, steps, first, last)
    names = [Group(kind.key, kind.name, fitted=kind.fitted) for kind in kinds]
    return Followed(first, at_risk.days(units.kind, names), at_risk.days(units.batch, groups))


def drops(contacts: Whole, last: int, gone: Mapping[int, int] = MappingProxyType({})) -> Whole:
    """After how many days unseen the share of vehicles that still come is smaller by one of twenty
    equal steps, so that a unit counts for as many twentieths as lie beyond. Of `contacts`, vehicle
    and day, in order; `last`: the last day counted; `gone`: by vehicle since when it was gone."""
    another = np.diff(contacts[:, 0]) != 0
    gaps = np.diff(contacts[:, 1])[~another]
    vehicles, seen = contacts[np.append(another, True)].T
    left = np.array([gone.get(int(one), -1) for one in vehicles], dtype=np.int64)
    away = left >= seen  # seen again later, it was not gone for good
    if gaps.size < FEWEST_GAPS:
        return np.full(_LEVELS, _YEAR, dtype=np.int64)
    share = np.minimum.accumulate(still_coming(gaps, (last - seen)[~away], (left - seen)[away]))
    middles = (np.arange(_LEVELS) + 0.5) / _LEVELS
    # The last day on which the share lies above the middle of a step, the day of the visit being 0.
    above = np.searchsorted(-share, -middles, side="left")
    return np.maximum(above - 1, 0).astype(np.int64)


class _At:
    """Which units were at risk from when to when, by how much, and which failures were known."""

    def __init__(self, units: _Units, contacts: Whole, steps: Whole, first: int, last: int) -> None:
        self.units, self.first, self.length = units, first, max(0, last - first + 1)
        self.unit, self.seen, self.low, self.high = _stretches(units, contacts, last)
        self.drops = steps

    def days(self, of: Whole, groups: list[Group]) -> tuple[Days, ...]:
        """Added up by group and day; a unit that failed on the day it was fitted counts half a
        day."""
        units = self.units
        exposure = np.zeros((len(groups), self.length + 1))
        failures = np.zeros((len(groups), self.length), dtype=np.int64)
        row = of[self.unit]
        some = np.flatnonzero(row >= 0)
        row, seen, low, high = (one[some] for one in (row, self.seen, self.low, self.high))
        for level in self.drops:
            until = np.minimum(high, seen + level)
            there = low < until
            np.add.at(exposure, (row[there], low[there] + 1 - self.first), 1 / _LEVELS)
            np.subtract.at(exposure, (row[there], until[there] + 1 - self.first), 1 / _LEVELS)
        exposure = np.cumsum(exposure, axis=1)[:, : self.length]
        exposure[np.abs(exposure) < _ROUNDING] = 0.0
        same_day = units.failed & (units.start == units.end)
        for index, add_to, amount in (
            (np.flatnonzero(same_day), exposure, 0.5),
            (np.flatnonzero(units.failed), failures, 1),
        ):
            index = index[(of[index] >= 0) & (units.end[index] >= self.first)]
            np.add.at(add_to, (of[index], units.end[index] - self.first), amount)
        return tuple(
            Days(group, failures[place], exposure[place]) for place, group in enumerate(groups)
        )


def _stretches(units: _Units, contacts: Whole, last: int) -> tuple[Whole, Whole, Whole, Whole]:
    """Unit, day seen, and (low, high]: from one contact to the next, while in place."""
    vehicles, seen = contacts[:, 0], contacts[:, 1]
    until = np.append(seen[1:], last)
    until[np.append(vehicles[1:] != vehicles[:-1], True)] = last
    begins = np.searchsorted(vehicles, units.vehicle, side="left")
    counts = np.searchsorted(vehicles, units.vehicle, side="right") - begins
    unit = np.repeat(np.arange(units.vehicle.size), counts)
    nth = np.arange(unit.size) - np.repeat(np.cumsum(counts) - counts, counts)
    contact = begins[unit] + nth
    low = np.maximum(units.start[unit], seen[contact])
    high = np.minimum(units.end[unit], until[contact])
    some = low < high
    return unit[some], seen[contact][some], low[some], high[some]


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
        .values_list("pk", "vehicle_id", "component_id", "in_day", "out_day", "known_day", "entry")
        .annotate(failed=Case(When(exit=FittedUnit.Exit.FAILED, then=1), default=0))
    )
    numbers = np.array([row[:5] for row in rows], dtype=np.int64).reshape(-1, 5)
    left = np.array([last + 1 if row[5] is None else row[5] for row in rows], dtype=np.int64)
    failing = np.array([row[7] == 1 for row in rows], dtype=np.bool_)
    fitted = np.array([row[6] == FittedUnit.Entry.FITTED for row in rows], dtype=np.bool_)
    known = np.where(
        failing, np.maximum(left, numbers[:, 4]), np.where(left <= last, numbers[:, 4], last)
    )
    at_first_sight = failing & ~fitted & (numbers[:, 4] <= numbers[:, 3])
    return _Units(
        vehicle=numbers[:, 1],
        kind=np.array([kind_of[row[2]] for row in rows], dtype=np.int64),
        batch=np.array([batches.get(row[0], -1) for row in rows], dtype=np.int64),
        start=numbers[:, 3],
        end=np.where(at_first_sight, numbers[:, 3], np.minimum(known, last)),
        failed=failing & ~at_first_sight & (known <= last),
    )
