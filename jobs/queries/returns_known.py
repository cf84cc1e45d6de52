"""Returns as they were known at the end of a day: what had come in, been proposed and decided.

A decision that was taken again later is known only as it stands now. Nothing here writes.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any, Final, Literal

from django.db.models import Case, F, OuterRef, Q, QuerySet, Subquery, Value, When
from django.utils import timezone

from jobs.models import CauseClass, Comeback
from jobs.stages import Stage

First = Literal["proposed", "counted"]
COUNTED: Final = ~Q(then__in=(CauseClass.NOT_OURS, CauseClass.UNRELATED))


def end_of(day: date) -> datetime:
    """The first moment after it."""
    return start_of(day + timedelta(days=1))


def start_of(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def known(rows: QuerySet[Comeback], end: datetime) -> QuerySet[Any]:
    """Those that had come in before that moment; `then`: the class as it was decided by then, empty
    before. What a person put in later was not known; what the rule says it would have said then,
    whenever it was worked out."""
    decided = Case(When(decided_at__lt=end, then=F("cause")), default=Value(""))
    return (
        rows.filter(
            Q(proposed_at__lt=end) | ~Q(because=Comeback.Because.BY_HAND),
            complaint__order__taken_in_at__lt=end,
        )
        .exclude(complaint__order__stage=Stage.VOID)
        .annotate(then=decided)
    )


def first_of_repair(end: datetime, what: First, repair: str) -> QuerySet[Any]:
    """The first return of a repair, named by the outer query's column: of all that were proposed,
    or of those that counted, by that moment."""
    rows = known(Comeback.objects.filter(repair=OuterRef(repair)), end)
    if what == "counted":
        rows = rows.filter(COUNTED)
    return rows.order_by("complaint__order__taken_in_at", "pk")


def first_alone(rows: QuerySet[Any], end: datetime, what: First) -> QuerySet[Any]:
    """One return of each repair, the first: as many as there are repairs that came back."""
    return rows.filter(pk=Subquery(first_of_repair(end, what, "repair").values("pk")[:1]))
