"""The watches of a workshop worked out: which there are, where each stands, and what changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from jobs.reports.document import Span
from jobs.reports.queries.watch import Days, Followed, Group, followed
from jobs.reports.stats.comparing import Compared, two_rates
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.stats.trend import System, Trend, laplace_counts, laplace_pooled
from jobs.reports.watching import (
    BASE_DAYS,
    Course,
    Height,
    Usual,
    course,
    height,
    its_own,
    the_others,
)
from shop.actor import Actor

AFTER_MONTHS: Final = 3
BEFORE_MONTHS: Final = 12
LEAST_FAILURES: Final = 10
"""With fewer a trend is not spoken of on top of the report (our advice, no source)."""


@dataclass(frozen=True, slots=True)
class Watched:
    """One watch; `whole`: all days of its kind."""

    days: Days
    whole: Days
    usual: Usual
    course: Course

    @property
    def group(self) -> Group:
        return self.days.group


@dataclass(frozen=True, slots=True)
class Family:
    """The watches of one sort with their common height, None where nothing can be expected."""

    height: Height | None
    watches: tuple[Watched, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """Failures and unit-days of some months."""

    failures: int
    exposure: float


@dataclass(frozen=True, slots=True)
class Change:
    """One kind over all months: its trend, and the last months against those before.

    `adjusted`: the p of the trend among those of all kinds (Benjamini and Hochberg); likewise
    `against`, of the comparison. None where there is nothing to judge by.
    """

    group: Group
    trend: Trend
    adjusted: float | None
    after: Part
    before: Part
    compared: Compared | None
    against: float | None


@dataclass(frozen=True, slots=True)
class Unwatched:
    """`year_over`: the index of the day on which its first year here is over, which may be past."""

    group: Group
    year_over: int


@dataclass(frozen=True, slots=True)
class Picture:
    """`pooled`: the trend of all kinds together, each on its own clock. `unwatched`: kinds of which
    there are units here, but too few or for too short a time to know what is usual.
    `batches_unwatched`: how many have nothing of their own, or of others, to be watched by."""

    span: Span
    first_day: int
    kinds: Family
    batches: Family
    unwatched: tuple[Unwatched, ...]
    batches_unwatched: int
    changes: tuple[Change, ...]
    pooled: Trend

    def day(self, index: int) -> date:
        return date.fromordinal(self.first_day + index)

    @property
    def all(self) -> tuple[Watched, ...]:
        return (*self.batches.watches, *self.kinds.watches)

    @property
    def standing(self) -> tuple[Watched, ...]:
        """Those whose alarm stands, batches first: they say more."""
        return tuple(one for one in self.all if one.course.raised is not None)

    def is_new(self, one: Watched) -> bool:
        """Raised in the month that the report is about."""
        raised = one.course.raised
        return raised is not None and self.day(raised) >= self.span.month

    def height_of(self, one: Watched, day: int | None = None) -> float:
        """That of the last day, or of the day with that index."""
        family = self.batches if one.group.batch else self.kinds
        if family.height is None:
            return 0.0
        return family.height.h if day is None else float(family.height.by_day[day])


def picture(actor: Actor, span: Span) -> Picture:
    """Five queries."""
    found = followed(actor, span.until)
    counted = [one for one in found.kinds if one.group.fitted]
    kinds = _family([(one, one, its_own(one.failures, one.exposure)) for one in counted])
    by_key = {one.group.key: one for one in found.kinds}
    pairs = [(one, by_key[one.group.key]) for one in found.batches]
    batches = _family(
        [
            (one, whole, the_others(one.failures, one.exposure, (whole.failures, whole.exposure)))
            for one, whole in pairs
        ]
    )
    monthly = [_by_month(found, one, span) for one in found.kinds]
    return Picture(
        span,
        found.first_day,
        kinds,
        batches,
        _unwatched(found.kinds, {one.group for one in kinds.watches}),
        len(found.batches) - len(batches.watches),
        _changes(found, monthly),
        _pooled(monthly),
    )


def _family(rows: list[tuple[Days, Days, Usual | None]]) -> Family:
    able = [(days, whole, usual) for days, whole, usual in rows if usual is not None]
    chosen = height([usual for _days, _whole, usual in able])
    if chosen is None:
        return Family(None, ())
    watches = (
        Watched(days, whole, usual, course(days.failures, usual, chosen.by_day))
        for days, whole, usual in able
    )
    return Family(chosen, tuple(watches))


def _unwatched(kinds: tuple[Days, ...], watched: set[Group]) -> tuple[Unwatched, ...]:
    """Those with units at risk and no watch."""
    return tuple(
        Unwatched(one.group, int(np.flatnonzero(one.exposure > 0)[0]) + BASE_DAYS)
        for one in kinds
        if one.group not in watched and one.exposure.any()
    )


def _by_month(found: Followed, one: Days, span: Span) -> list[Part]:
    """Calendar months from the first to that of the span, the oldest first."""
    day, parts = date.fromordinal(found.first_day), []
    while day <= span.until:
        after = min((day.replace(day=1) + timedelta(days=32)).replace(day=1), _next(span.until))
        some = slice(day.toordinal() - found.first_day, after.toordinal() - found.first_day)
        parts.append(Part(int(one.failures[some].sum()), float(one.exposure[some].sum())))
        day = after
    return parts


def _next(day: date) -> date:
    return day + timedelta(days=1)


def _changes(found: Followed, monthly: list[list[Part]]) -> tuple[Change, ...]:
    trends = [_trend(parts) for parts in monthly]
    pairs = [
        (_sum(parts[-AFTER_MONTHS:]), _sum(parts[-AFTER_MONTHS - BEFORE_MONTHS : -AFTER_MONTHS]))
        for parts in monthly
    ]
    compared = [_compared(after, before) for after, before in pairs]
    adjusted = _adjusted([None if t.direction == "too_few" else t.p for t in trends])
    against = _adjusted([None if one is None else one.p for one in compared])
    return tuple(
        Change(one.group, trends[at], adjusted[at], *pairs[at], compared[at], against[at])
        for at, one in enumerate(found.kinds)
    )


def _trend(parts: list[Part]) -> Trend:
    return laplace_counts([one.failures for one in parts], [one.exposure for one in parts])


def _pooled(monthly: list[list[Part]]) -> Trend:
    """Each failure stands in the middle of its month's exposure, as a share of its kind's."""
    systems = []
    for parts in monthly:
        watched = np.array([one.exposure for one in parts])
        if watched.sum() > 0:
            middles = (np.cumsum(watched) - watched / 2) / watched.sum()
            times = np.repeat(middles, [one.failures for one in parts])
            systems.append(System(tuple(times.tolist()), 1.0))
    return laplace_pooled(systems)


def _sum(parts: list[Part]) -> Part:
    return Part(sum(one.failures for one in parts), sum(one.exposure for one in parts))


def _compared(after: Part, before: Part) -> Compared | None:
    if not (after.exposure > 0 and before.exposure > 0 and after.failures + before.failures):
        return None
    return two_rates(after.failures, after.exposure, before.failures, before.exposure)


def _adjusted(ps: list[float | None]) -> list[float | None]:
    known = [p for p in ps if p is not None]
    rest = iter(benjamini_hochberg(known))
    return [None if p is None else next(rest) for p in ps]
