"""Claims and what payers paid for them, as the bookkeeper takes them out: rows and cells.

They stand apart from the customers' payments: what a payer sends is no receipt of the Till's.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs.models import Claim, ClaimPayment
from shop.actor import Actor
from shop.money import total
from shop.tables import Cell, Column, Reads

_AMOUNT, _DATE = Reads.AMOUNT, Reads.DATE
CLAIMS = (
    Column("Claim", "our number of the claim"),
    Column("First sent", "the day it first went out; the span of days is of this", _DATE),
    Column("Payer", "who is asked"),
    Column("Order", "the repair order"),
    Column("VIN", "the vehicle’s identification number"),
    Column("State", "how it stands as of now"),
    Column("Claimed", "what is asked for", _AMOUNT),
    Column("Agreed", "what the last answer agreed to; empty without an answer", _AMOUNT),
    Column("Paid", "what has been paid up to now, less what was taken back", _AMOUNT),
    Column("Written off", "what was given up", _AMOUNT),
    Column("Owed", "claimed, less paid, less written off; below zero: paid over", _AMOUNT),
    Column("Closed", "the day it was paid or written off; empty while it is open", _DATE),
)
PAYMENTS = (
    Column("Claim", "the claim that was paid"),
    Column("Paid on", "the day the payer gives; the span of days is of this", _DATE),
    Column("Payer", "who paid"),
    Column("Order", "the repair order"),
    Column("Kind", "paid, or taken back by the payer"),
    Column("Labour", "what of it was for labour", _AMOUNT),
    Column("Parts", "what of it was for parts", _AMOUNT),
    Column("Handling", "what of it was for handling", _AMOUNT),
    Column("Sublet", "what of it was for work done elsewhere", _AMOUNT),
    Column("Tax", "what of it was for tax", _AMOUNT),
    Column("Amount", "the five together; below zero: taken back", _AMOUNT),
    Column("Reference", "the payer’s own number of the payment"),
    Column("File", "the payer’s file it came in; empty when it was typed"),
    Column("Booked by", "who booked it"),
)


def claims(actor: Actor, begins: datetime, ends: datetime) -> QuerySet[Any]:
    rows = Claim.objects.of(actor).filter(first_sent_at__gte=begins, first_sent_at__lt=ends)
    return (
        rows.exclude(state=Claim.State.VOID)
        .select_related("payer", "complaint__order__vehicle")
        .order_by("first_sent_at", "pk")
    )


def payments(actor: Actor, first: date, last: date) -> QuerySet[Any]:
    rows = ClaimPayment.objects.of(actor).filter(paid_on__gte=first, paid_on__lte=last)
    return rows.select_related(
        "claim__payer", "claim__complaint__order", "by", "file_row__file"
    ).order_by("paid_on", "pk")


def claim_cells(row: Claim) -> tuple[Cell, ...]:
    assert row.first_sent_at is not None
    order = row.complaint.order
    return (
        row.number,
        _day(row.first_sent_at),
        row.payer.name,
        order.number,
        order.vehicle.vin,
        str(row.get_state_display()),
        row.claimed,
        row.agreed,
        row.paid,
        row.written_off,
        total((row.claimed, -row.paid, -row.written_off)),
        _day(row.closed_at) if row.closed_at else "",
    )


def payment_cells(row: ClaimPayment) -> tuple[Cell, ...]:
    amounts: tuple[Decimal, ...] = (
        row.labour,
        row.parts,
        row.handling,
        row.sublet,
        row.tax,
        row.amount,
    )
    line = getattr(row, "file_row", None)
    return (
        row.claim.number,
        row.paid_on,
        row.claim.payer.name,
        row.claim.complaint.order.number,
        str(row.get_kind_display()),
        *amounts,
        row.reference,
        f"{line.file.name}, line {line.line}" if line else "",
        row.by.display_name,
    )


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()
