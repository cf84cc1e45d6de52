"""What warranty work cost the workshop against what was paid for it, month by month for a year.

A month is that in which a claim was first sent. The whole cost of its complaint stands there once,
also where the payer bears only a share or there are several payers: labour by the time that was
clocked, at what an hour costs, and parts, materials and sublet work at what they cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import (
    Case,
    Count,
    DurationField,
    ExpressionWrapper,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.expressions import Combinable

from jobs.clocked import NOTHING, next_month
from jobs.models import Claim, ClaimPayment, ClockEntry, OtherLine, Replacement
from jobs.queries.claim_ledger import MONTHS, first_month, midnight, sent_since
from jobs.queries.in_cents import money, sum_in_cents, sum_of_products
from jobs.queries.terms import terms_of
from shop import clock
from shop.actor import Actor
from shop.money import cents, total


@dataclass(frozen=True, slots=True)
class CostRow:
    """`labour_cost`: None while nobody has set what an hour costs. `unknown` parts have no cost."""

    month: date
    claims: int
    claimed: Decimal
    paid: Decimal
    worked: timedelta
    labour_cost: Decimal | None
    parts_cost: Decimal
    unknown: int

    @property
    def cost(self) -> Decimal | None:
        """None while the labour is not known."""
        return None if self.labour_cost is None else total((self.labour_cost, self.parts_cost))

    @property
    def left(self) -> Decimal | None:
        """Paid less cost."""
        return None if self.cost is None else total((self.paid, -self.cost))


@dataclass(frozen=True, slots=True)
class CostYear:
    """Newest month first; `all` is the sum. `rate`: what an hour costs, None when not set."""

    rate: Decimal | None
    rows: tuple[CostRow, ...]
    all: CostRow


def cost_year(actor: Actor) -> CostYear:
    """Six queries, whatever there is."""
    since = first_month(clock.today())
    rate = terms_of(actor.workshop).labour_cost_rate
    claims = _by_month(sent_since(actor, since), "first_sent_at", since)
    asked = _grouped(claims, number=Count("pk"), amount=sum_in_cents("claimed"))
    paid = _grouped(_payments(actor, since), amount=sum_in_cents("amount"))
    worked = _grouped(_clock(actor, since), time=Sum(_elapsed()))
    fitted = _grouped(_parts(actor, since), amount=sum_in_cents("cost"), unknown=_no_cost())
    other = _grouped(
        _others(actor, since), amount=sum_of_products("cost", "quantity"), unknown=_no_cost()
    )
    months = _months(since)
    rows = tuple(
        CostRow(
            month,
            asked[place].get("number", 0),
            money(asked[place].get("amount")),
            money(paid[place].get("amount")),
            worked[place].get("time") or NOTHING,
            _labour(worked[place].get("time") or NOTHING, rate),
            cents(
                money(fitted[place].get("amount", 0)) + money(other[place].get("amount", 0)) / 100
            ),
            fitted[place].get("unknown", 0) + other[place].get("unknown", 0),
        )
        for place, month in enumerate(months)
    )
    return CostYear(rate, rows[::-1], _all(rows))


def month_of(rows: QuerySet[Claim], month: date) -> QuerySet[Claim]:
    return rows.filter(first_sent_at__lt=midnight(next_month(month)))


def _labour(time: timedelta, rate: Decimal | None) -> Decimal | None:
    if rate is None:
        return None
    seconds = time.days * 86_400 + time.seconds
    return cents(Decimal(seconds) * rate / 3600)


def _months(since: date) -> list[date]:
    months = [since]
    while len(months) < MONTHS:
        months.append(next_month(months[-1]))
    return months


def _place(field: str, since: date) -> Case:
    """Which of the twelve months a moment lies in, from 0, by comparing it with their ends."""
    after = [next_month(month) for month in _months(since)]
    whens = [
        When(**{f"{field}__lt": midnight(day)}, then=Value(number))
        for number, day in enumerate(after)
    ]
    return Case(*whens, default=Value(MONTHS), output_field=IntegerField())


def _by_month(rows: QuerySet[Any], field: str, since: date) -> QuerySet[Any]:
    placed: QuerySet[Any] = rows.annotate(place=_place(field, since))
    return placed


def _grouped(rows: QuerySet[Any], **what: Combinable) -> Mapping[int, Mapping[str, Any]]:
    found: dict[int, Mapping[str, Any]] = defaultdict(dict)
    for row in rows.order_by().values("place").annotate(**what):
        found[row["place"]] = row
    return found


def _payments(actor: Actor, since: date) -> QuerySet[Any]:
    claims = sent_since(actor, since).order_by().values("pk")
    rows = ClaimPayment.objects.filter(claim__in=claims)
    return _by_month(rows, "claim__first_sent_at", since)


def _of_complaints(rows: QuerySet[Any], actor: Actor, since: date) -> QuerySet[Any]:
    """Rows of complaints with a claim of the year, in the month of the complaint's first claim.

    The claims say which workshop; asked of the rows too, it would lead past their complaints.
    """
    claims = sent_since(actor, since).order_by()
    first = (
        Claim.objects.filter(complaint=OuterRef("complaint"), first_sent_at__isnull=False)
        .exclude(state=Claim.State.VOID)
        .order_by("first_sent_at")
        .values("first_sent_at")[:1]
    )
    mine = rows.filter(complaint__in=claims.values("complaint")).annotate(sent=Subquery(first))
    return _by_month(mine.filter(sent__gte=midnight(since)), "sent", since)


def _clock(actor: Actor, since: date) -> QuerySet[Any]:
    rows = ClockEntry.objects.filter(counted_to__isnull=False)
    return _of_complaints(rows, actor, since)


def _parts(actor: Actor, since: date) -> QuerySet[Any]:
    rows = Replacement.objects.filter(state=Replacement.State.FITTED)
    return _of_complaints(rows, actor, since)


def _others(actor: Actor, since: date) -> QuerySet[Any]:
    return _of_complaints(OtherLine.objects.filter(withdrawn=False), actor, since)


def _elapsed() -> ExpressionWrapper[Any]:
    return ExpressionWrapper(F("counted_to") - F("counted_from"), output_field=DurationField())


def _no_cost() -> Count:
    return Count("pk", filter=Q(cost__isnull=True))


def _all(rows: tuple[CostRow, ...]) -> CostRow:
    labour = [row.labour_cost for row in rows if row.labour_cost is not None]
    return CostRow(
        rows[0].month,
        sum(row.claims for row in rows),
        total(row.claimed for row in rows),
        total(row.paid for row in rows),
        sum((row.worked for row in rows), NOTHING),
        total(labour) if labour else None,
        total(row.parts_cost for row in rows),
        sum(row.unknown for row in rows),
    )
