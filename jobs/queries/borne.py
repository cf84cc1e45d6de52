"""What others than the customer bear of the invoices, and nobody has asked them for yet.

The workshop bears its own work: of that nothing is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import DecimalField, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from jobs.models import Claim, ClaimLine, Invoice, InvoiceLine, Payer
from shop.actor import Actor
from shop.money import cents

_ASKED_OF_NOBODY = (Payer.CUSTOMER, Payer.WORKSHOP)
# SQLite subtracts binary fractions, so that nothing may come out as a little more than nothing.
_NOTHING = Decimal("0.005")


@dataclass(frozen=True, slots=True)
class Borne:
    """`amount` with its tax, less what was credited or claimed; `payers` as on the invoice."""

    number: str
    customer: str
    issued_at: datetime
    payers: str
    amount: Decimal


def borne(actor: Actor) -> QuerySet[Invoice]:
    """Invoices that stand and of which others bear a part that no claim asks for, oldest first.

    `left` is that part; it goes through `cents` before it is shown.
    """
    return _left(Invoice.objects.of(actor)).order_by("issued_at", "pk")


def borne_altogether(actor: Actor) -> Decimal:
    found = borne(actor).order_by().aggregate(sum=Sum("left"))["sum"]
    return cents(Decimal(found or 0))


def borne_rows(invoices: Iterable[Invoice]) -> tuple[Borne, ...]:
    """Rows of `borne` with their payers by name. One query."""
    invoices = list(invoices)
    names = _payers(invoices)
    return tuple(
        Borne(
            row.number,
            row.to_name,
            row.issued_at,
            ", ".join(names.get(row.pk, ())),
            cents(Decimal(row.left)),  # type: ignore[attr-defined]
        )
        for row in invoices
    )


def borne_of(invoice: Invoice) -> Borne | None:
    """The same of one invoice; at most two queries."""
    if not invoice.payer_total:
        return None
    return next(iter(borne_rows(_left(Invoice.objects.filter(pk=invoice.pk)))), None)


def _left(rows: QuerySet[Invoice]) -> QuerySet[Invoice]:
    return (
        rows.filter(kind=Invoice.Kind.INVOICE, standing=True, payer_total__gt=0)
        .annotate(
            left=F("payer_total")
            - _of_credits()
            - _own("invoice")
            + _own("corrects__invoice")
            - _claimed()
        )
        .filter(left__gt=_NOTHING)
    )


def _of_credits() -> Coalesce:
    notes = Invoice.objects.filter(corrects=OuterRef("pk")).order_by().values("corrects")
    return _sum(notes, "payer_total")


def _own(of: str) -> Coalesce:
    """What the workshop bears, of the invoice or of the credit notes on it."""
    lines = InvoiceLine.objects.filter(**{of: OuterRef("pk")}, payer=Payer.WORKSHOP)
    return _sum(lines.order_by().values(of), "payer_amount")


def _claimed() -> Coalesce:
    """What claims that went out ask for of the job, but for handling, which is on no bill."""
    lines = (
        ClaimLine.objects.filter(
            claim__complaint__order=OuterRef("order"), claim__first_sent_at__isnull=False
        )
        .exclude(claim__state=Claim.State.VOID)
        .exclude(kind=ClaimLine.Kind.HANDLING)
    )
    return _sum(lines.order_by().values("claim__complaint__order"), "amount")


def _sum(rows: QuerySet[Any, Any], column: str) -> Coalesce:
    summed = rows.annotate(sum=Sum(column)).values("sum")
    return Coalesce(Subquery(summed), Value(0), output_field=DecimalField())


def _payers(invoices: list[Invoice]) -> dict[int, list[str]]:
    lines = InvoiceLine.objects.filter(invoice__in=invoices, payer_amount__gt=0)
    found: dict[int, list[str]] = {}
    pairs = lines.exclude(payer__in=_ASKED_OF_NOBODY).order_by().values_list("invoice", "payer")
    for invoice, payer in sorted(pairs.distinct()):
        found.setdefault(invoice, []).append(str(Payer(payer).label))
    return found
