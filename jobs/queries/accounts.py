"""What the bookkeeper takes out: tables of a span of days, read row by row.

Each table is one query, whatever the span, and is walked without being held. The amounts of a
credit note are below zero here, so that a column adds up to what was turned over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs.models import Invoice, InvoiceLine, InvoiceTax, Payment, StockMovement
from jobs.queries import account_claims
from jobs.queries import account_columns as columns
from shop.actor import Actor
from shop.money import cents, line_total
from shop.tables import Cell, Column, Table

AT_ONCE = 2000
# A workbook takes some twenty seconds a hundred thousand rows; CSV takes one.
MOST_IN_A_BOOK = 100_000


@dataclass(frozen=True, slots=True)
class Span:
    """From the first day to the last, both included, as the workshop's clock has them."""

    first: date
    last: date

    @property
    def begins(self) -> datetime:
        return timezone.make_aware(datetime.combine(self.first, time.min))

    @property
    def ends(self) -> datetime:
        """The first moment that is no longer in it."""
        return timezone.make_aware(datetime.combine(self.last + timedelta(days=1), time.min))


@dataclass(frozen=True, slots=True)
class Kept:
    """One table on offer: its key in an address, its title, what a row is, and its rows."""

    key: str
    title: str
    row_words: str
    columns: tuple[Column, ...]
    found: Callable[[Actor, Span], QuerySet[Any]]
    cells: Callable[[Any], tuple[Cell, ...]]

    def table(self, actor: Actor, span: Span) -> Table:
        return Table(self.title, self.columns, self._rows(actor, span))

    def count(self, actor: Actor, span: Span) -> int:
        return self.found(actor, span).count()

    def _rows(self, actor: Actor, span: Span) -> Iterator[tuple[Cell, ...]]:
        for row in self.found(actor, span).iterator(chunk_size=AT_ONCE):
            yield self.cells(row)


def counts(actor: Actor, span: Span) -> tuple[tuple[Kept, int], ...]:
    """Each table with the number of its rows. One query a table."""
    return tuple((one, one.count(actor, span)) for one in TABLES)


def kept(key: str) -> Kept | None:
    return next((one for one in TABLES if one.key == key), None)


def _invoices(actor: Actor, span: Span) -> QuerySet[Any]:
    rows = Invoice.objects.of(actor).filter(issued_at__gte=span.begins, issued_at__lt=span.ends)
    return rows.select_related("order", "corrects", "issued_by").order_by("issued_at", "pk")


def _of_invoices(model: Any) -> Callable[[Actor, Span], QuerySet[Any]]:
    def found(actor: Actor, span: Span) -> QuerySet[Any]:
        rows = model.objects.filter(
            invoice__workshop=actor.workshop,
            invoice__issued_at__gte=span.begins,
            invoice__issued_at__lt=span.ends,
        )
        related: QuerySet[Any] = rows.select_related("invoice", "invoice__order")
        return related.order_by("invoice__issued_at", "invoice_id", "pk")

    return found


def _payments(actor: Actor, span: Span) -> QuerySet[Any]:
    rows = Payment.objects.of(actor).filter(at__gte=span.begins, at__lt=span.ends)
    return rows.select_related("invoice", "invoice__order", "by").order_by("at", "pk")


def _claims(actor: Actor, span: Span) -> QuerySet[Any]:
    return account_claims.claims(actor, span.begins, span.ends)


def _claim_payments(actor: Actor, span: Span) -> QuerySet[Any]:
    return account_claims.payments(actor, span.first, span.last)


def _movements(actor: Actor, span: Span) -> QuerySet[Any]:
    rows = StockMovement.objects.of(actor).filter(at__gte=span.begins, at__lt=span.ends)
    return rows.select_related(
        "item", "by", "replacement__complaint__order", "line__order__supplier"
    ).order_by("at", "pk")


def _invoice_cells(row: Invoice) -> tuple[Cell, ...]:
    sign = _sign(row)
    return (
        row.number,
        str(row.get_kind_display()),
        row.corrects.number if row.corrects else "",
        _day(row.issued_at),
        row.order.number,
        row.to_name,
        row.vehicle_words,
        row.vin,
        *(
            sign * amount
            for amount in (
                row.assemblies,
                row.labour,
                row.sublet,
                row.tax,
                row.total,
                row.customer_total,
                row.payer_total,
            )
        ),
        row.paid,
        row.credited,
        row.owed,
        row.issued_by.display_name,
        row.because,
    )


def _line_cells(row: InvoiceLine) -> tuple[Cell, ...]:
    sign = _sign(row.invoice)
    return (
        row.invoice.number,
        _day(row.invoice.issued_at),
        row.invoice.order.number,
        row.complaint_line,
        str(row.get_kind_display()),
        row.text,
        row.condition,
        sign * row.quantity,
        row.unit_price,
        sign * row.amount,
        str(row.get_payer_display()),
        sign * row.customer_amount,
        sign * row.payer_amount,
    )


def _tax_cells(row: InvoiceTax) -> tuple[Cell, ...]:
    sign = _sign(row.invoice)
    return (
        row.invoice.number,
        _day(row.invoice.issued_at),
        row.name,
        row.percent,
        sign * row.base,
        sign * row.amount,
        sign * row.customer_amount,
        sign * cents(row.amount - row.customer_amount),
    )


def _payment_cells(row: Payment) -> tuple[Cell, ...]:
    return (
        row.number,
        _day(row.at),
        row.invoice.number,
        row.invoice.order.number,
        row.invoice.to_name,
        str(row.get_how_display()),
        row.amount,
        row.reference,
        row.by.display_name,
        row.note,
    )


def _movement_cells(row: StockMovement) -> tuple[Cell, ...]:
    job = row.replacement.complaint.order.number if row.replacement else ""
    supply = row.line.order if row.line else None
    return (
        row.pk,
        _day(row.at),
        row.item.part_number,
        row.item.text,
        str(row.get_kind_display()),
        row.quantity,
        row.balance,
        row.unit_cost,
        line_total(row.quantity, row.unit_cost),
        job,
        supply.number if supply else "",
        supply.supplier.name if supply else "",
        row.by.display_name,
        row.because,
    )


def _sign(invoice: Invoice) -> Decimal:
    return Decimal(-1) if invoice.kind == Invoice.Kind.CREDIT else Decimal(1)


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()


TABLES: tuple[Kept, ...] = (
    Kept(
        "invoices",
        "Invoices",
        "one invoice or credit note",
        columns.INVOICES,
        _invoices,
        _invoice_cells,
    ),
    Kept(
        "invoice-lines",
        "Invoice lines",
        "one line of an invoice or credit note",
        columns.LINES,
        _of_invoices(InvoiceLine),
        _line_cells,
    ),
    Kept(
        "taxes",
        "Taxes",
        "one tax on an invoice or credit note",
        columns.TAXES,
        _of_invoices(InvoiceTax),
        _tax_cells,
    ),
    Kept(
        "payments",
        "Payments",
        "money that came in, or was paid back",
        columns.PAYMENTS,
        _payments,
        _payment_cells,
    ),
    Kept(
        "claims",
        "Claims",
        "one claim that was sent to a payer",
        account_claims.CLAIMS,
        _claims,
        account_claims.claim_cells,
    ),
    Kept(
        "claim-payments",
        "Claim payments",
        "money that a payer sent for a claim, or took back",
        account_claims.PAYMENTS,
        _claim_payments,
        account_claims.payment_cells,
    ),
    Kept(
        "stock-movements",
        "Stock movements",
        "pieces of one part that came, went or were counted",
        columns.MOVEMENTS,
        _movements,
        _movement_cells,
    ),
)
