"""Payers' files and their lines, and the money of one claim."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, QuerySet
from django.shortcuts import get_object_or_404

from jobs.claims.payment_file import SPLIT
from jobs.claims.settled import Standing
from jobs.models import Claim, ClaimLine, ClaimPayer, ClaimPayment, PaymentFile, PaymentRow
from jobs.queries.in_cents import money, sum_in_cents
from shop.actor import Actor
from shop.money import total

Match = PaymentRow.Match
_OPEN = Q(payment__isnull=True, set_aside_at__isnull=True)
SHOWN: dict[str, Q] = {
    "matched": _OPEN & Q(match=Match.EXACT),
    "ask": _OPEN & ~Q(match=Match.EXACT),
    "booked": Q(payment__isnull=False),
    "aside": Q(set_aside_at__isnull=False),
}
"""The lines of a file by what became of them; each is in one."""


@dataclass(frozen=True, slots=True)
class Part:
    """So many lines of a file, and what they come to."""

    key: str
    count: int
    amount: Decimal


@dataclass(frozen=True, slots=True)
class KindMoney:
    label: str
    claimed: Decimal
    paid: Decimal


@dataclass(frozen=True, slots=True)
class ClaimMoney:
    """What was paid on a claim; `kinds` leaves out what was neither claimed nor paid."""

    payments: tuple[ClaimPayment, ...]
    kinds: tuple[KindMoney, ...]
    owed: Decimal
    over: Decimal
    payable: bool


def files_of(actor: Actor) -> QuerySet[PaymentFile]:
    """The newest first, each with how many of its lines are still to be booked or looked at."""
    rows: QuerySet[PaymentFile] = (
        PaymentFile.objects.of(actor)
        .select_related("payer", "by")
        .annotate(
            lines=Count("rows"),
            open=Count(
                "rows", filter=Q(rows__payment__isnull=True, rows__set_aside_at__isnull=True)
            ),
        )
        .order_by("-pk")
    )
    return rows


def get_file(actor: Actor, pk: int) -> PaymentFile:
    rows = PaymentFile.objects.of(actor).select_related("payer", "by")
    found: PaymentFile = get_object_or_404(rows, pk=pk)
    return found


def parts_of(file: PaymentFile) -> dict[str, Part]:
    """One query."""
    asked: dict[str, Any] = {}
    for key, which in SHOWN.items():
        asked[f"{key}_count"] = Count("pk", filter=which)
        asked[f"{key}_cents"] = sum_in_cents("amount", which)
    found = file.rows.aggregate(**asked)
    return {key: Part(key, found[f"{key}_count"], money(found[f"{key}_cents"])) for key in SHOWN}


def rows_of(file: PaymentFile, shown: str) -> QuerySet[PaymentRow]:
    rows = file.rows.select_related("claim", "payment__claim", "payment__by").order_by("line")
    return rows.filter(SHOWN[shown]) if shown in SHOWN else rows


def get_row(actor: Actor, pk: int) -> PaymentRow:
    rows = PaymentRow.objects.filter(file__workshop=actor.workshop).select_related(
        "file__payer", "file__by", "claim__complaint__order", "payment__claim", "payment__by"
    )
    return get_object_or_404(rows, pk=pk)


def named(actor: Actor, number: str) -> Claim | None:
    """The claim with this number, as it was typed."""
    found: Claim | None = Claim.objects.of(actor).filter(number__iexact=number.strip()).first()
    return found


def payers_of(actor: Actor) -> QuerySet[ClaimPayer]:
    rows: QuerySet[ClaimPayer] = ClaimPayer.objects.of(actor).order_by("retired", "name")
    return rows


def owed_of(claim: Claim) -> Decimal:
    """Below nought when more was paid than claimed."""
    return Standing(claim.state, claim.claimed, claim.agreed, claim.paid, claim.written_off).owed


def money_of(claim: Claim) -> ClaimMoney:
    """Two queries."""
    payments = tuple(claim.payments.select_related("by").order_by("paid_on", "pk"))
    asked: dict[str, list[Decimal]] = {}
    for kind, amount in claim.lines.values_list("kind", "amount"):
        asked.setdefault(kind, []).append(amount)
    kinds = []
    for kind, column in zip(ClaimLine.Kind, SPLIT, strict=True):
        claimed = total(asked.get(kind, ()))
        paid = total(getattr(one, column) for one in payments)
        if claimed or paid:
            kinds.append(KindMoney(str(kind.label), claimed, paid))
    owed = owed_of(claim)
    nothing = Decimal("0.00")
    return ClaimMoney(
        payments,
        tuple(kinds),
        max(owed, nothing),
        max(-owed, nothing),
        claim.first_sent_at is not None and claim.state != Claim.State.VOID,
    )
