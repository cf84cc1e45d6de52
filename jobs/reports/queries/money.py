"""What repairs were sold for, who bears it, what they cost, and what claims brought.

Rows come one a line of a job and are added up as decimals. Nothing here writes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any, Final

from django.db.models import F, QuerySet
from django.utils import timezone

from jobs.bill import Rounding, Share, SharedLine, make_bill
from jobs.models import (
    CauseClass,
    Claim,
    ClaimPayment,
    ClockEntry,
    LabourLine,
    OtherLine,
    Repair,
    Replacement,
)
from jobs.pricing import LineKind, PriceLine, assembly_line, labour_line, other_line
from jobs.queries.terms import terms_of
from shop.actor import Actor
from shop.money import cents, total

NOTHING: Final = Decimal(0)
NOT_COUNTED: Final = (CauseClass.NOT_OURS, CauseClass.UNRELATED)
_NO_CLAIM: Final = (Claim.State.VOID, Claim.State.DRAFT, Claim.State.APPROVED)


@dataclass(frozen=True, slots=True)
class RepairMoney:
    """One repair. `key`, `name`: the kind of its component, empty where none was named.

    `others`: what is not the customer's to pay, before tax. `cost`: None where a part of it is not
    known: what an hour costs, the time, or what an assembly was bought for. `comeback`: it counts
    as the return of an earlier repair, or is not decided yet.
    """

    month: date
    key: str
    name: str
    payer: str
    price: Decimal
    others: Decimal
    cost: Decimal | None
    comeback: bool


@dataclass(frozen=True, slots=True)
class ClaimMoney:
    """A claim as it stood: `paid` up to the last day counted."""

    payer: str
    sent_on: date
    claimed: Decimal
    paid: Decimal


@dataclass(frozen=True, slots=True)
class Money:
    """`rate`: what an hour of work costs, None where that was not set."""

    rate: Decimal | None
    repairs: tuple[RepairMoney, ...]
    claims: tuple[ClaimMoney, ...]


@dataclass(slots=True)
class _Spent:
    """What is known of the cost of one repair. `unknown`: a part or a line without its cost."""

    time: timedelta = timedelta()
    sold: int = 0
    parts: Decimal = NOTHING
    unknown: bool = False
    lines: list[PriceLine] = field(default_factory=list)


def money(actor: Actor, since: date, until: date) -> Money:
    """Repairs handed over, and claims first sent, from `since` to `until`. Eight queries."""
    rate = terms_of(actor.workshop).labour_cost_rate
    repairs = list(_repairs(actor, since, until))
    spent = _spent(actor, since, until)
    bill = make_bill(
        [line for row in repairs for line in spent[row["pk"]].lines],
        {row["pk"]: _share(row) for row in repairs},
        (),
        Rounding.LINE,
    )
    shared: dict[int, list[SharedLine]] = defaultdict(list)
    for line in bill.lines:
        shared[line.line.complaint].append(line)
    return Money(
        rate,
        tuple(_repair(row, spent[row["pk"]], shared[row["pk"]], rate) for row in repairs),
        _claims(actor, since, until),
    )


def _repairs(actor: Actor, since: date, until: date) -> QuerySet[Any, dict[str, Any]]:
    """In the order of the visits and of their complaints: so deductibles go off."""
    return (
        Repair.objects.of(actor)
        .filter(handed_day__gte=since.toordinal(), handed_day__lte=until.toordinal())
        .order_by("complaint__order_id", "complaint__line")
        .values(
            "pk",
            "handed_day",
            "no_fault_found",
            key=F("component__key"),
            name=F("component__name"),
            order=F("complaint__order_id"),
            payer=F("complaint__payer"),
            percent=F("complaint__payer_percent"),
            deductible=F("complaint__deductible"),
            comeback=F("complaint__comeback__pk"),
            cause=F("complaint__comeback__cause"),
        )
    )


def _share(row: Mapping[str, Any]) -> Share:
    return Share(row["payer"], row["percent"], row["deductible"], row["order"])


def _repair(
    row: Mapping[str, Any], spent: _Spent, lines: list[SharedLine], rate: Decimal | None
) -> RepairMoney:
    return RepairMoney(
        month=date.fromordinal(row["handed_day"]).replace(day=1),
        key=row["key"] or "",
        name=row["name"] or "",
        payer=row["payer"],
        price=total(one.line.amount for one in lines),
        others=total(one.other for one in lines),
        cost=_cost(spent, rate),
        comeback=row["comeback"] is not None and row["cause"] not in NOT_COUNTED,
    )


def _cost(spent: _Spent, rate: Decimal | None) -> Decimal | None:
    # Where nothing was sold and nobody was on the clock, what it took is not known, not nought.
    if spent.unknown or ((spent.sold or not spent.lines) and not spent.time):
        return None
    if not spent.time:
        return cents(spent.parts)
    if rate is None:
        return None
    seconds = spent.time.days * 86_400 + spent.time.seconds
    return total((cents(Decimal(seconds) * rate / 3600), cents(spent.parts)))


def _spent(actor: Actor, since: date, until: date) -> dict[int, _Spent]:
    """By complaint: time on the clock, what parts and other lines cost, and all priced lines."""
    found: dict[int, _Spent] = defaultdict(_Spent)
    for kind in (_fitted, _worked, _other):
        for complaint, line, cost, tenths in kind(actor, since, until):
            one = found[complaint]
            one.lines.append(line)
            one.sold += tenths
            one.unknown |= cost is None
            one.parts += cost or NOTHING
    for complaint, start, end in _of(ClockEntry, actor, since, until).values_list(
        "complaint_id", "counted_from", "counted_to"
    ):
        if end is not None:
            found[complaint].time += end - start
    return found


Line = tuple[int, PriceLine, Decimal | None, int]


def _fitted(actor: Actor, since: date, until: date) -> Iterable[Line]:
    rows = _of(Replacement, actor, since, until).filter(state=Replacement.State.FITTED)
    for complaint, price, cost in rows.values_list("complaint_id", "price", "cost"):
        yield complaint, assembly_line(complaint, "", price), cost, 0


def _worked(actor: Actor, since: date, until: date) -> Iterable[Line]:
    rows = _of(LabourLine, actor, since, until).filter(withdrawn=False)
    for complaint, tenths, shared, rate in rows.values_list(
        "complaint_id", "tenths", "shared_tenths", "rate"
    ):
        yield complaint, labour_line(complaint, "", tenths - shared, rate), NOTHING, tenths - shared


def _other(actor: Actor, since: date, until: date) -> Iterable[Line]:
    rows = _of(OtherLine, actor, since, until).filter(withdrawn=False)
    for complaint, kind, quantity, price, cost in rows.values_list(
        "complaint_id", "kind", "quantity", "unit_price", "cost"
    ):
        line = other_line(complaint, LineKind(kind), "", quantity, price)
        yield complaint, line, None if cost is None else cost * quantity, 0


def _of(model: Any, actor: Actor, since: date, until: date) -> QuerySet[Any]:
    """Rows of the complaints that were handed over as repairs in that time."""
    rows: QuerySet[Any] = model.objects.filter(
        complaint__repair__workshop=actor.workshop,
        complaint__repair__handed_day__gte=since.toordinal(),
        complaint__repair__handed_day__lte=until.toordinal(),
    ).order_by("pk")
    return rows


def _claims(actor: Actor, since: date, until: date) -> tuple[ClaimMoney, ...]:
    sent = Claim.objects.of(actor).filter(
        first_sent_at__gte=_start(since), first_sent_at__lt=_start(until + timedelta(days=1))
    )
    sent = sent.exclude(state__in=_NO_CLAIM)
    paid: dict[int, Decimal] = defaultdict(Decimal)
    payments = ClaimPayment.objects.filter(claim__in=sent.order_by().values("pk"))
    for claim, amount in payments.filter(paid_on__lte=until).values_list("claim_id", "amount"):
        paid[claim] += amount
    rows = sent.order_by("payer__name", "pk").values_list(
        "pk", "payer__name", "first_sent_at", "claimed"
    )
    return tuple(
        ClaimMoney(payer, timezone.localtime(at).date(), claimed, paid[pk])
        for pk, payer, at, claimed in rows
    )


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
