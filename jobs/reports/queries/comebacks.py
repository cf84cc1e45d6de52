"""Repairs by how long they held: by days, kind, fitter, supplier and class, as known on a day.

Days count from hand-over to the first return that counts, or to the end of follow-up. What was
proposed, decided or seen later is not known on the last day counted; a decision that was taken
again later is known only as it stands now. Nothing here writes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

import numpy as np
from django.db.models import Count, Subquery

from jobs.models import Comeback, Repair
from jobs.queries.returns_known import end_of, first_of_repair, known, start_of
from jobs.reports.queries.follow_up import Gap, gone_days, last_contacts, residual_gap
from jobs.reports.stats.counts import Counts, from_lives
from shop.actor import Actor

HELD: Final = "held"
"""In the place of a class: it has not come back while it was followed."""
Rule = Callable[[int], int]


@dataclass(frozen=True, slots=True)
class Group:
    """So many repairs of one kind with parts of one supplier, fitted by one person (`technician`)
    for the cause that one named (`diagnosed`), handed over so many days before the last counted.

    In days from hand-over: `seen` to the last contact; `most` to the last day counted, or that on
    which the vehicle was gone; `back` to the first return that counts, None where there was none,
    `cause` its class; `proposed` to the first that anybody held for one, whatever was decided.
    """

    kind: str
    technician: int | None
    diagnosed: int | None
    supplier: str
    handed: int
    seen: int
    most: int
    back: int | None
    cause: str
    proposed: int | None
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

    @property
    def as_proposed(self) -> Repairs:
        """With every return that was proposed, also those decided to be somebody else's matter."""
        some = (replace(group, back=group.proposed) for group in self.groups)
        return Repairs(tuple(some), self.gap, self.until)

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
    return group.back if group.back is not None else min(group.seen + gap, group.most)


def repairs(actor: Actor, until: date) -> Repairs:
    """Those of the workshop as they were known at the end of that day. Five queries."""
    last, end = until.toordinal(), end_of(until)
    first = first_of_repair(end, "proposed", "pk")
    counting = first_of_repair(end, "counted", "pk")
    seen, gone = last_contacts(actor.workshop, until), gone_days(actor.workshop, until)
    rows = (
        Repair.objects.of(actor)
        .filter(handed_day__lte=last)
        .order_by()
        .annotate(
            back=Subquery(counting.values("days")[:1]),
            of=Subquery(counting.values("then")[:1]),
            proposed=Subquery(first.values("days")[:1]),
        )
        .values_list(*_ROW)
    )
    found: Counter[tuple[Any, ...]] = Counter()
    for vehicle, day, kind, technician, found_by, supplier, back, of, proposed in rows:
        contact, left = max(seen.get(vehicle, day), day), gone.get(vehicle, last)
        most = left if left >= contact else last
        cause = HELD if back is None else of
        who = (kind or "", technician, found_by, supplier)
        days = (last - day, contact - day, most - day, back)
        found[(*who, *days, cause, proposed)] += 1
    groups = tuple(Group(*(*row, count)) for row, count in found.items())
    return Repairs(groups, residual_gap(actor.workshop, until), until)


_ROW: Final = (
    *("vehicle", "handed_day", "component__key", "technician"),
    *("complaint__conclusion__by", "supplier"),
    *("back", "of", "proposed"),
)


@dataclass(frozen=True, slots=True)
class Classes:
    """How many returns came in up to a day, and in its month, by class ("" not decided)."""

    ever: Counter[str]
    month: Counter[str]


def classes(actor: Actor, month: date, until: date) -> Classes:
    """Those that do not count among them, as they were decided by the end of that day. Two
    queries."""
    rows = known(Comeback.objects.of(actor), end_of(until))
    since = rows.filter(complaint__order__taken_in_at__gte=start_of(month))
    return Classes(_by_class(rows), _by_class(since))


def _by_class(rows: Any) -> Counter[str]:
    counted: Iterable[tuple[str, int]] = (
        rows.order_by().values_list("then").annotate(count=Count("pk"))
    )
    return Counter(dict(counted))
