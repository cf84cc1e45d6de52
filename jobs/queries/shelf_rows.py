"""One line of the advice: a part, what was wanted of it, what keeping it would cost and spare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.base_stock import Level, base_stock, lead_demand
from jobs.demand import Demand, demand
from jobs.poisson import LARGEST_MEAN
from jobs.queries.lead_times import Lead
from jobs.queries.shelf_demand import LAST_YEAR, Wanted, Window
from jobs.queries.shelf_position import Position
from jobs.shelf_replay import replay
from shop.money import line_total


@dataclass(frozen=True, slots=True)
class Waits:
    """Pieces wanted in the last twelve months, and how many of them waited: as it was, and had
    this or that level been kept."""

    wanted: int
    waited: int
    kept: int
    expected: int
    cautious: int


@dataclass(frozen=True, slots=True)
class Advice:
    """One part. `expected` goes by the rate seen, `cautious` by the upper limit of that rate.

    `cost_known`: else `unit_cost` is the selling price, for want of a cost.
    """

    position: Position
    fits: tuple[str, ...]
    unit_cost: Decimal
    cost_known: bool
    demand: Demand
    lead: Lead
    expected: Level
    cautious: Level
    waits: Waits
    days: tuple[date, ...]

    @property
    def money(self) -> Decimal:
        return line_total(self.expected.level, self.unit_cost)

    @property
    def money_cautious(self) -> Decimal:
        return line_total(self.cautious.level, self.unit_cost)

    @property
    def money_kept(self) -> Decimal:
        return line_total(self.position.target, self.unit_cost)

    @property
    def changes(self) -> bool:
        """Whether what is kept lies outside what the numbers speak for."""
        return not self.expected.level <= self.position.target <= self.cautious.level

    @property
    def served_percent(self) -> int:
        """Of a hundred who need one, how many find it; only all of them are a hundred."""
        return min(99, round(100 * self.expected.served))

    @property
    def choices(self) -> tuple[int, ...]:
        """The levels that one touch sets: those advised, but for the one that is kept."""
        levels = dict.fromkeys((self.expected.level, self.cautious.level))
        return tuple(level for level in levels if level != self.position.target)

    def had_been(self, target: float, seen: Window) -> tuple[int, Decimal]:
        """Who would have waited in the last year, and the money, at another service level."""
        level = _level(self.demand.per_day, self.lead, target, self.demand.clumping).level
        waited = waits(self.days, seen, level, self.lead.days)
        return waited, line_total(level, self.unit_cost)


def advise(
    position: Position,
    fits: tuple[str, ...],
    cost: tuple[Decimal, bool],
    wanted: Wanted,
    lead: Lead,
    seen: Window,
    target: float,
) -> Advice:
    """What follows from what was seen; `target` between 0 and 1."""
    found = demand([seen.ago(day) for day in wanted.days], seen.days)
    expected = _level(found.per_day, lead, target, found.clumping)
    cautious = _level(found.high, lead, target, found.clumping)
    kept, low, high = (
        waits(wanted.days, seen, level, lead.days)
        for level in (position.target, expected.level, cautious.level)
    )
    return Advice(
        position=position,
        fits=fits,
        unit_cost=cost[0],
        cost_known=cost[1],
        demand=found,
        lead=lead,
        expected=expected,
        cautious=cautious,
        waits=Waits(wanted.last_year, wanted.waited, kept, low, high),
        days=tuple(wanted.days),
    )


def waits(days: Sequence[date], seen: Window, level: int, lead_days: float) -> int:
    """Of the pieces wanted in the last twelve months, how many would have waited."""
    numbers = [day.toordinal() for day in days]
    replayed = replay(numbers, level, lead_days).waits
    first = (seen.today - LAST_YEAR).toordinal()
    return sum(
        1 for day, wait in zip(sorted(numbers), replayed, strict=True) if day > first and wait
    )


def _level(per_day: float, lead: Lead, target: float, clumping: float) -> Level:
    mean = min(LARGEST_MEAN, lead_demand(per_day, lead.days))
    return base_stock(mean, target, clumping)
