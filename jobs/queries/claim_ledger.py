"""What payers owe, how they answer and how soon they pay. No claim is read by itself.

What is owed is of claims sent and not closed. Everything else is of those first sent within the
year to today, twelve months with this one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Count,
    DateField,
    DurationField,
    Exists,
    ExpressionWrapper,
    F,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import TruncDate
from django.utils import timezone

from jobs.claims.ageing import Age, Share, days_of, median
from jobs.models import Claim, ClaimAnswer, ClaimLine, ClaimPayment, Submission
from jobs.queries.claim_ledger_figures import KindRow, Ledger, OwedRow, PayerYear, Reason
from jobs.queries.in_cents import money, sum_in_cents
from shop import clock
from shop.actor import Actor
from shop.money import total

MONTHS = 12
_DECIDED = (ClaimAnswer.Kind.ACCEPTED, ClaimAnswer.Kind.SHORT, ClaimAnswer.Kind.REFUSED)
SETTLED = (Claim.State.SHORT, Claim.State.PAID, Claim.State.WRITTEN_OFF)
KINDS: tuple[tuple[str, str], ...] = (
    (ClaimLine.Kind.LABOUR, "labour"),
    (ClaimLine.Kind.PART, "parts"),
    (ClaimLine.Kind.HANDLING, "handling"),
    (ClaimLine.Kind.SUBLET, "sublet"),
    (ClaimLine.Kind.TAX, "tax"),
)


def ledger_of(actor: Actor) -> Ledger:
    """Six queries, whatever there is."""
    since = first_month(clock.today())
    owed, payers, kinds = _owed(actor), _payers(actor, since), _kinds(actor, since)
    return Ledger(
        since,
        owed,
        _together(owed),
        payers[:-1],
        payers[-1],
        _reasons(actor, since),
        kinds,
        KindRow("", "", total(one.claimed for one in kinds), total(one.paid for one in kinds)),
    )


def first_month(today: date) -> date:
    """The first day of the twelve months that end with this one."""
    month = today.year * 12 + today.month - MONTHS
    return date(month // 12, month % 12 + 1, 1)


def midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def open_claims(actor: Actor) -> QuerySet[Claim]:
    """Sent and not closed: what is owed of them is claimed, less paid, less written off."""
    # By their keys: of what was sent, or by payer, SQLite would go through all there ever was.
    not_closed = Claim.objects.of(actor).filter(closed_at__isnull=True)
    rows: QuerySet[Claim] = Claim.objects.filter(
        pk__in=not_closed.order_by().values("pk"), first_sent_at__isnull=False
    )
    return rows


def sent_since(actor: Actor, since: date) -> QuerySet[Claim]:
    rows: QuerySet[Claim] = Claim.objects.of(actor).filter(first_sent_at__gte=midnight(since))
    return rows.exclude(state=Claim.State.VOID)


def aged(rows: QuerySet[Claim], today: date) -> QuerySet[Any]:
    """Each with its `age`, counted in days by the workshop's clock."""
    whens = []
    for age in Age:
        first = days_of(age, today).first
        if first:
            whens.append(When(first_sent_at__gte=midnight(first), then=Value(str(age))))
    older = Value(str(Age.OLDER))
    return rows.annotate(age=Case(*whens, default=older, output_field=CharField()))


def firsts(rows: QuerySet[Claim]) -> QuerySet[Any]:
    """Each with `answered` and `at_once`: what was said to it as it was first sent.

    What was paid in full without a word was accepted; what was sent again was not.
    """
    said = ClaimAnswer.objects.filter(submission__claim=OuterRef("pk"), submission__number=1)
    again = Exists(Submission.objects.filter(claim=OuterRef("pk"), number__gt=1))
    bad = Exists(said.filter(kind__in=_DECIDED).exclude(kind=ClaimAnswer.Kind.ACCEPTED))
    any_word = Exists(said.filter(kind__in=_DECIDED))
    in_full = Q(state=Claim.State.PAID)
    return rows.annotate(bad=bad, any_word=any_word, again=again).annotate(
        answered=Case(
            When(Q(any_word=True) | Q(again=True) | in_full, then=Value(1)), default=Value(0)
        ),
        at_once=Case(
            When(Q(bad=True) | Q(again=True), then=Value(0)),
            When(Q(any_word=True) | in_full, then=Value(1)),
            default=Value(0),
        ),
    )


def paid_in(rows: QuerySet[Claim]) -> QuerySet[Any]:
    """Those that are paid, each with `took`: from first sending to the last payment."""
    last = (
        ClaimPayment.objects.filter(claim=OuterRef("pk"), kind=ClaimPayment.Kind.PAID)
        .order_by()
        .values("claim")
        .annotate(last=Max("paid_on"))
        .values("last")
    )
    return (
        rows.filter(state=Claim.State.PAID)
        .annotate(
            sent_on=TruncDate("first_sent_at"),
            last_paid=Subquery(last, output_field=DateField()),
        )
        .filter(last_paid__isnull=False)
        .annotate(
            took=ExpressionWrapper(F("last_paid") - F("sent_on"), output_field=DurationField())
        )
    )


def _owed(actor: Actor) -> tuple[OwedRow, ...]:
    found = (
        aged(open_claims(actor), clock.today())
        .order_by()
        .values("payer_id", "payer__name", "age", "state")
        .annotate(
            number=Count("pk"),
            claimed_cents=sum_in_cents("claimed"),
            paid_cents=sum_in_cents("paid"),
            lost_cents=sum_in_cents("written_off"),
        )
    )
    sums: dict[tuple[int, str], dict[Age, int]] = defaultdict(lambda: dict.fromkeys(Age, 0))
    counts: dict[tuple[int, str], dict[Age, int]] = defaultdict(lambda: dict.fromkeys(Age, 0))
    refused: Counter[tuple[int, str]] = Counter()
    for row in found:
        who, age = (row["payer_id"], row["payer__name"]), Age(row["age"])
        left = row["claimed_cents"] - row["paid_cents"] - row["lost_cents"]
        sums[who][age] += left
        counts[who][age] += row["number"]
        if row["state"] == Claim.State.REFUSED:
            refused[who] += left
    return tuple(
        OwedRow(*who, _as_money(sums[who]), counts[who], money(refused[who]))
        for who in sorted(sums, key=lambda one: one[1])
    )


def _as_money(sums: Mapping[Age, int]) -> dict[Age, Decimal]:
    return {age: money(amount) for age, amount in sums.items()}


def _together(rows: tuple[OwedRow, ...]) -> OwedRow:
    return OwedRow(
        0,
        "",
        {age: total(row.ages[age] for row in rows) for age in Age},
        {age: sum(row.counts[age] for row in rows) for age in Age},
        total(row.refused for row in rows),
    )


def _payers(actor: Actor, since: date) -> tuple[PayerYear, ...]:
    """Each payer that answered or paid, and all together as the last."""
    rows = sent_since(actor, since)
    shares: dict[tuple[int, str], Counter[str]] = defaultdict(Counter)
    answers = firsts(rows).order_by().values("payer_id", "payer__name", "answered", "at_once")
    for row in answers.annotate(number=Count("pk")):
        who = (row["payer_id"], row["payer__name"])
        shares[who]["of"] += row["number"] * row["answered"]
        shares[who]["at_once"] += row["number"] * row["at_once"]
    days: dict[int, Counter[int]] = defaultdict(Counter)
    for row in paid_in(rows).order_by().values("payer_id", "took").annotate(number=Count("pk")):
        days[row["payer_id"]][max(row["took"].days, 0)] += row["number"]
    known = sorted((who for who in shares if shares[who]["of"]), key=lambda one: one[1])
    each = [_year(*who, shares[who], days[who[0]]) for who in known]
    every = sum((shares[who] for who in known), Counter[str]())
    return (*each, _year(0, "", every, sum(days.values(), Counter[int]())))


def _year(payer: int, name: str, share: Counter[str], days: Counter[int]) -> PayerYear:
    return PayerYear(
        payer, name, Share(share["at_once"], share["of"]), median(days), sum(days.values())
    )


def _reasons(actor: Actor, since: date) -> tuple[Reason, ...]:
    """How many claims were refused or cut for each reason; one may be for several."""
    found = (
        ClaimAnswer.objects.filter(
            submission__claim__in=sent_since(actor, since).order_by().values("pk"),
            kind__in=(ClaimAnswer.Kind.REFUSED, ClaimAnswer.Kind.SHORT),
        )
        .order_by()
        .values("reason")
        .annotate(number=Count("submission__claim", distinct=True))
    )
    labels = dict(ClaimAnswer.Reason.choices)
    rows = [Reason(row["reason"], str(labels[row["reason"]]), row["number"]) for row in found]
    return tuple(sorted(rows, key=lambda one: (-one.count, one.label)))


def _kinds(actor: Actor, since: date) -> tuple[KindRow, ...]:
    claims = sent_since(actor, since).filter(state__in=SETTLED).order_by().values("pk")
    asked: dict[str, Any] = dict(
        ClaimLine.objects.filter(claim__in=claims)
        .order_by()
        .values_list("kind")
        .annotate(cents=sum_in_cents("amount"))
    )
    paid = ClaimPayment.objects.filter(claim__in=claims).aggregate(
        **{column: sum_in_cents(column) for _kind, column in KINDS}
    )
    labels = dict(ClaimLine.Kind.choices)
    return tuple(
        KindRow(kind, str(labels[kind]), money(asked.get(kind)), money(paid[column]))
        for kind, column in KINDS
    )
