"""Shops drawn from a known law, seen as a workshop sees: from visits alone. Pure.

Vehicles of random age join on random days of the years that are counted, come by routine at random
gaps, stay away for good from a random day on, and come at once when the unit fails, which is then
replaced by a new one. What the shop knows of it is whole days of visits; the lives are worked out
of these by the rules of jobs.lives: watched from the first visit, failures at the first visit are
no events, and followed after the last contact as the `Follow` says.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from jobs.reports.stats.counts import Counts, Numbers, from_lives
from jobs.reports.stats.staying import followed_for
from tests.bench.mean_residual import mean_residual

FEWEST_GAPS = 10  # as jobs.reports.queries.follow_up has it
_MANY = 400.0  # of a Weibull age over its scale: beyond all that is watched


class Follow(StrEnum):
    """Until when a unit still in place is followed."""

    KNOWN = "known"  # until the customer stayed away: no shop knows it
    LEVEL = "level"  # by jobs.reports.stats.staying
    GAP = "gap"  # the mean residual gap
    LAST_VISIT = "last_visit"
    TODAY = "today"


@dataclass(frozen=True, slots=True)
class Law:
    """A Weibull law of units, in days. `frailty`: the variance between vehicles of a factor on
    their hazard, mean one (gamma). `found_late`: the share of failures that wait for the next
    routine visit."""

    scale: float
    shape: float
    frailty: float = 0.0
    found_late: float = 0.0

    def survival(self, age: float) -> float:
        """Of a vehicle chosen by chance, without frailty."""
        return float(np.exp(-((age / self.scale) ** self.shape)))


@dataclass(frozen=True, slots=True)
class Size:
    """Vehicles that join in so many days. A customer stays for `stay` days on average."""

    vehicles: int
    days: int
    gap: float = 180.0
    gap_shape: float = 4.0
    stay: float = 1200.0
    oldest: float = 3000.0


@dataclass(frozen=True, slots=True)
class Shop:
    """Lives by what became of them, a row each: age at entry, and at exit in four ways."""

    entry: Numbers
    exits: dict[Follow, Numbers]
    failed: Numbers
    gap: float
    level: float
    at_first_visit: int

    def counts(self, follow: Follow) -> Counts:
        """Lives, as the reports count them."""
        return from_lives(self.entry, self.exits[follow], self.failed)


@dataclass(frozen=True, slots=True)
class Vehicles:
    age: Numbers  # on the day of joining
    joined: Numbers
    end: Numbers  # the day on which the customer stays away, or the last day counted
    routine: Numbers  # vehicles x visits; infinite after the end
    frailty: Numbers

    @property
    def first_routine(self) -> Numbers:
        return self.routine[:, 0]


def simulated(size: Size, law: Law, random: np.random.Generator) -> Shop:
    """One shop."""
    drawn = vehicles(size, law, random)
    return _seen(size, drawn, _units(drawn, law, random))


def vehicles(size: Size, law: Law, random: np.random.Generator) -> Vehicles:
    n = size.vehicles
    joined = random.uniform(0, size.days, n)
    end = np.minimum(joined + random.exponential(size.stay, n), size.days)
    most = int(size.days / size.gap * 2) + 12
    gaps = random.gamma(size.gap_shape, size.gap / size.gap_shape, (n, most))
    # The first gap is under way on the day of joining: longer gaps hold a chance day more often.
    whole = random.gamma(size.gap_shape + 1, size.gap / size.gap_shape, n)
    gaps[:, 0] = random.uniform(0, 1, n) * whole
    visits = joined[:, None] + np.cumsum(gaps, axis=1)
    frail = np.ones(n)
    if law.frailty:
        frail = random.gamma(1 / law.frailty, law.frailty, n)
    return Vehicles(
        age=random.uniform(0, size.oldest, n),
        joined=joined,
        end=end,
        routine=np.where(visits < end[:, None], visits, np.inf),
        frailty=frail,
    )


@dataclass(frozen=True, slots=True)
class _Unit:
    """Of each vehicle the unit of one turn: the day of its birth, and that on which it is found
    failed; infinite where it never is."""

    born: Numbers
    found: Numbers


def _units(vehicles: Vehicles, law: Law, random: np.random.Generator) -> list[_Unit]:
    """Turn by turn, until none fails any more."""
    born, least = vehicles.joined - vehicles.age, vehicles.age
    units = []
    while True:
        scale = law.scale * np.maximum(vehicles.frailty, 1e-12) ** (-1 / law.shape)
        passed = (least / scale) ** law.shape
        more = random.exponential(1.0, len(born))
        life = scale * np.minimum(passed + more, _MANY**law.shape) ** (1 / law.shape)
        found = _found(vehicles, born + life, law, random)
        units.append(_Unit(born, found))
        if not np.any(np.isfinite(found)):
            return units
        born, least = found, np.zeros(len(born))


def _found(vehicles: Vehicles, day: Numbers, law: Law, random: np.random.Generator) -> Numbers:
    """The visit at which a failure on this day is found: at once, or by routine."""
    if law.found_late:
        waits = random.uniform(0, 1, len(day)) < law.found_late
        later = np.where(vehicles.routine >= day[:, None], vehicles.routine, np.inf).min(axis=1)
        day = np.where(waits, later, day)
    found: Numbers = np.where(day < vehicles.end, day, np.inf)
    return found


def _seen(size: Size, vehicles: Vehicles, units: list[_Unit]) -> Shop:
    found = np.stack([unit.found for unit in units], axis=1)
    visits = np.floor(np.concatenate([vehicles.routine, found], axis=1))
    first, last = visits.min(axis=1), np.where(np.isfinite(visits), visits, -np.inf).max(axis=1)
    gap, level = _gaps(visits, np.floor(found), float(size.days) - last)
    today = np.full(len(first), float(size.days))
    ends = {
        Follow.KNOWN: np.maximum(np.floor(vehicles.end), last),
        Follow.LEVEL: np.minimum(last + level, today),
        Follow.GAP: np.minimum(last + gap, today),
        Follow.LAST_VISIT: last,
        Follow.TODAY: today,
    }
    seen = np.isfinite(first)
    columns: list[tuple[Numbers, dict[Follow, Numbers], Numbers]] = []
    dropped = 0
    for turn, unit in enumerate(units):
        fails = np.isfinite(unit.found)
        begins = first if turn == 0 else np.floor(unit.born)
        mine = seen & np.isfinite(begins)
        if turn == 0:
            at_first = mine & fails & (np.floor(unit.found) <= first)
            dropped = int(at_first.sum())
            mine &= ~at_first
        born = np.floor(unit.born[mine])
        out = np.floor(unit.found[mine])
        exits = {
            follow: np.where(fails[mine], out, day[mine]) - born for follow, day in ends.items()
        }
        columns.append((begins[mine] - born, exits, fails[mine].astype(np.float64)))
    return Shop(
        entry=np.concatenate([entry for entry, _exits, _failed in columns]),
        exits={f: np.concatenate([exits[f] for _entry, exits, _failed in columns]) for f in Follow},
        failed=np.concatenate([failed for _entry, _exits, failed in columns]),
        gap=gap,
        level=level,
        at_first_visit=dropped,
    )


def _gaps(visits: Numbers, found: Numbers, unseen: Numbers) -> tuple[float, float]:
    """Days to follow after the last contact: the mean residual gap, and the level of them all."""
    days = np.sort(visits, axis=1)
    before, after = days[:, :-1], days[:, 1:]
    there = np.isfinite(after) & (after > before)
    failed = (after[:, :, None] == found[:, None, :]).any(axis=2)
    gaps = after - np.where(there, before, 0.0)
    routine = gaps[there & ~failed]
    if len(routine) < FEWEST_GAPS:
        return 0.0, 0.0
    level = followed_for(gaps[there], unseen[np.isfinite(unseen)])
    return float(round(mean_residual(routine))), float(round(level))
