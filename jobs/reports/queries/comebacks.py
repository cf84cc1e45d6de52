"""Repairs by how long they held: grouped in the database by days, kind, fitter, supplier, class.

Days count from hand-over to the first return that counts, or to the end of follow-up. Nothing here
writes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

import numpy as np
from django.db.models import Case, Count, F, IntegerField, OuterRef, Q, Subquery, Value, When
from django.utils import timezone

from jobs.models import Comeback, Repair
from jobs.queries.repairs import COUNTS
from jobs.reports.queries.follow_up import Gap, residual_gap
from jobs.reports.stats.counts import Counts, from_lives
from jobs.stages import Stage
from shop.actor import Actor

HELD: Final = "held"
"""In the place of a class: it has not come back while it was followed."""
Rule = Callable[[int], int]


@dataclass(frozen=True, slots=True)
class Group:
    """So many repairs of one kind by one person with parts of one supplier, that were handed over
    so many days before the last one counted. `seen`: days from hand-over to the last contact;
    `back`: to the first return that counts, None where there was none; `cause` its class."""

    kind: str
    technician: int | None
    supplier: str
    handed: int
    seen: int
    back: int | None
    cause: str
    count: int


@dataclass(frozen=True, slots=True)
class Repairs:
    """All repairs handed over up to a day, in groups."""

    groups: tuple[Group, ...]
    gap: Gap
    until: date

    @property
    def count(self) -> int:
        return sum(group.count for group in self.groups)

    def where(self, wanted: Callable[[Group], bool]) -> Repairs:
        return Repairs(tuple(filter(wanted, self.groups)), self.gap, self.until)

    def returns(self, causes: frozenset[str] | None = None) -> int:
        """How many came back, of some classes or of all that count."""
        return sum(
            group.count
            for group in self.groups
            if group.back is not None and (causes is None or group.cause in causes)
        )

    @property
    def ends(self) -> list[int]:
        """For each group the days from hand-over to the return or the end of follow-up."""
        return [_end(group, self.gap.whole_days) for group in self.groups]

    def counts(self, causes: frozenset[str] | None = None, *, gap: int | None = None) -> Counts:
        """Their lives from hand-over. With `causes` a return of another class ends the follow-up
        without being counted. gap: followed so long after the last contact, our rule if None."""
        after = self.gap.whole_days if gap is None else gap
        ends = [_end(group, after) for group in self.groups]
        failed = [
            group.back is not None and (causes is None or group.cause in causes)
            for group in self.groups
        ]
        many = [group.count for group in self.groups]
        lives = sum(many)
        return from_lives(
            np.zeros(lives), np.repeat(np.array(ends, float), many), np.repeat(failed, many)
        )


def _end(group: Group, gap: int) -> int:
    return group.back if group.back is not None else min(group.seen + gap, group.handed)


def repairs(actor: Actor, until: date) -> Repairs:
    """Those of the workshop as they were known at the end of that day. Three queries."""
    last = until.toordinal()
    first_cause = (
        Comeback.objects.filter(COUNTS, repair=OuterRef("pk"))
        .exclude(complaint__order__stage=Stage.VOID)
        .order_by("complaint__order__taken_in_at", "pk")
        .values("cause")[:1]
    )
    returned = Q(back_day__lte=last)
    rows = (
        Repair.objects.of(actor)
        .filter(handed_day__lte=last)
        .annotate(
            handed=Value(last) - F("handed_day"),
            seen=Case(When(seen_day__gt=last, then=Value(last)), default=F("seen_day"))
            - F("handed_day"),
            back=Case(
                When(returned, then=F("back_day") - F("handed_day")),
                default=None,
                output_field=IntegerField(null=True),
            ),
            of=Case(When(returned, then=Subquery(first_cause)), default=Value(HELD)),
        )
        .order_by()
        .values_list("component__key", "technician", "supplier", "handed", "seen", "back", "of")
        .annotate(count=Count("pk"))
    )
    groups = tuple(
        Group(kind or "", technician, supplier, handed, seen, back, cause or "", count)
        for kind, technician, supplier, handed, seen, back, cause, count in rows
    )
    return Repairs(groups, residual_gap(actor.workshop, until), until)


@dataclass(frozen=True, slots=True)
class Classes:
    """How many returns came in up to a day, and in its month, by class ("" not decided)."""

    ever: Counter[str]
    month: Counter[str]


def classes(actor: Actor, month: date, until: date) -> Classes:
    """Those that do not count among them. Two queries."""
    rows = (
        Comeback.objects.of(actor)
        .filter(complaint__order__taken_in_at__lt=_end_of(until))
        .exclude(complaint__order__stage=Stage.VOID)
    )
    since = rows.filter(complaint__order__taken_in_at__gte=_start_of(month))
    return Classes(_by_class(rows), _by_class(since))


def _by_class(rows: Any) -> Counter[str]:
    counted: Iterable[tuple[str, int]] = (
        rows.order_by().values_list("cause").annotate(count=Count("pk"))
    )
    return Counter(dict(counted))


def _start_of(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def _end_of(day: date) -> datetime:
    return _start_of(day + timedelta(days=1))
