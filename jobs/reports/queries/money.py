"""What repairs were sold for, who bears it, what they cost, and what claims brought.

The price of a repair is what was billed for it less what was credited since, up to the last day
counted; until its order is billed, what the lines of the job come to.
Rows come one a line of a job and are added up as decimals. Nothing here writes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any, Final

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.utils import timezone

from jobs.bill import Rounding, Share, SharedLine, make_bill
from jobs.models import (
    CauseClass,
    ClockEntry,
    Comeback,
    Invoice,
    InvoiceLine,
    LabourLine,
    OtherLine,
    Repair,
    Replacement,
)
from jobs.pricing import LineKind, PriceLine, assembly_line, labour_line, other_line
from jobs.queries import returns_known
from jobs.queries.claim_recovery import ClaimSent, claims_sent
from jobs.queries.terms import terms_of
from shop.actor import Actor
from shop.models import OdometerReading
from shop.money import cents, total

NOTHING: Final = Decimal(0)
NOT_COUNTED: Final = (CauseClass.NOT_OURS, CauseClass.UNRELATED)


@dataclass(frozen=True, slots=True)
class RepairMoney:
    """One repair. `key`, `name`: the kind of its component, empty where none was named.

    `others`: what is not the customer's to pay, before tax. `cost`: None where a part of it is not
    known: what an hour costs, the time, or what an assembly was bought for. `comeback`: it counts
    as the return of an earlier repair, or is not decided yet. `first_visit`: the vehicle had never
    been here before, so that none of its units was watched.
    """

    month: date
    key: str
    name: str
    payer: str
    price: Decimal
    others: Decimal
    cost: Decimal | None
    comeback: bool
    first_visit: bool


@dataclass(frozen=True, slots=True)
class Money:
    """`rate`: what an hour of work costs, None where that was not set."""

    rate: Decimal | None
    repairs: tuple[RepairMoney, ...]
    claims: tuple[ClaimSent, ...]


@dataclass(slots=True)
class _Spent:
    """What is known of the cost of one repair. `unknown`: a part or a line without its cost."""

    time: timedelta = timedelta()
    sold: int = 0
    parts: Decimal = NOTHING
    unknown: bool = False
    lines: list[PriceLine] = field(default_factory=list)


def money(actor: Actor, since: date, until: date) -> Money:
    """Repairs handed over, and claims first sent, from `since` to `until`. Nine queries."""
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
    billed = _billed(actor, since, until)
    return Money(
        rate,
        tuple(
            _repair(row, spent[row["pk"]], _sold(row, shared[row["pk"]], billed), rate)
            for row in repairs
        ),
        claims_sent(actor, since, until),
    )


def _repairs(actor: Actor, since: date, until: date) -> QuerySet[Any, dict[str, Any]]:
    """In the order of the visits and of their complaints: so deductibles go off. What was decided
    on a return later than `until` was not known."""
    of_it = Comeback.objects.filter(complaint=OuterRef("complaint"))
    known = returns_known.known(of_it, returns_known.end_of(until)).order_by("pk")
    rows: QuerySet[Any, dict[str, Any]] = (
        Repair.objects.of(actor)
        .filter(handed_day__gte=since.toordinal(), handed_day__lte=until.toordinal())
        .order_by("complaint__order_id", "complaint__line")
        .annotate(
            seen_before=Exists(
                OdometerReading.objects.filter(
                    vehicle=OuterRef("vehicle"),
                    read_at__lt=OuterRef("complaint__order__odometer_in__read_at"),
                )
            )
        )
        .values(
            "pk",
            "handed_day",
            "seen_before",
            key=F("component__key"),
            name=F("component__name"),
            order=F("complaint__order_id"),
            line=F("complaint__line"),
            payer=F("complaint__payer"),
            percent=F("complaint__payer_percent"),
            deductible=F("complaint__deductible"),
            comeback=Subquery(known.values("pk")[:1]),
            cause=Subquery(known.values("then")[:1]),
        )
    )
    return rows


def _share(row: Mapping[str, Any]) -> Share:
    return Share(row["payer"], row["percent"], row["deductible"], row["order"])


@dataclass(slots=True)
class _Sold:
    """Before tax, and what of it is not the customer's to pay."""

    price: Decimal = NOTHING
    others: Decimal = NOTHING


def _billed(actor: Actor, since: date, until: date) -> dict[int, dict[int, _Sold]]:
    """By order that was billed, and line of complaint: what was billed less what was credited."""
    orders = Repair.objects.of(actor).filter(
        handed_day__gte=since.toordinal(), handed_day__lte=until.toordinal()
    )
    rows = InvoiceLine.objects.filter(
        invoice__order__in=orders.order_by().values("complaint__order"),
        invoice__issued_at__lt=_start(until + timedelta(days=1)),
    )
    found: dict[int, dict[int, _Sold]] = defaultdict(lambda: defaultdict(_Sold))
    for kind, order, line, amount, others in rows.order_by("pk").values_list(
        "invoice__kind", "invoice__order", "complaint_line", "amount", "payer_amount"
    ):
        sign = -1 if kind == Invoice.Kind.CREDIT else 1
        one = found[order][line]
        one.price = total((one.price, sign * amount))
        one.others = total((one.others, sign * others))
    return found


def _sold(
    row: Mapping[str, Any], lines: list[SharedLine], billed: Mapping[int, Mapping[int, _Sold]]
) -> _Sold:
    if row["order"] in billed:
        return billed[row["order"]].get(row["line"], _Sold())
    return _Sold(total(one.line.amount for one in lines), total(one.other for one in lines))


def _repair(
    row: Mapping[str, Any], spent: _Spent, sold: _Sold, rate: Decimal | None
) -> RepairMoney:
    return RepairMoney(
        month=date.fromordinal(row["handed_day"]).replace(day=1),
        key=row["key"] or "",
        name=row["name"] or "",
        payer=row["payer"],
        price=sold.price,
        others=sold.others,
        cost=_cost(spent, rate),
        comeback=row["comeback"] is not None and row["cause"] not in NOT_COUNTED,
        first_visit=not row["seen_before"],
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


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
