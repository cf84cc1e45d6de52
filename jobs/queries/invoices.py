"""Invoices and credit notes as they were issued: found, listed, and laid out for page and paper."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.http import Http404

from jobs import signature
from jobs.models import Invoice, InvoiceLine, InvoiceTax, Payment, RepairOrder
from jobs.queries.borne import Borne, borne_of
from jobs.queries.credited import billed_lines
from shop.actor import Actor
from shop.money import total


@dataclass(frozen=True, slots=True)
class Block:
    """The lines of one complaint, and what another payer bears of it."""

    line: int
    words: str
    lines: tuple[InvoiceLine, ...]
    payer: str
    borne: Decimal


@dataclass(frozen=True, slots=True)
class Document:
    """An invoice or credit note with all that stands on it, from its own rows alone."""

    invoice: Invoice
    blocks: tuple[Block, ...]
    taxes: tuple[InvoiceTax, ...]
    signature: str

    @property
    def number(self) -> str:
        return self.invoice.number

    @property
    def shared(self) -> bool:
        return bool(self.invoice.payer_total)

    @property
    def before_tax(self) -> Decimal:
        return total((self.invoice.total, -self.invoice.tax))

    @property
    def answers(self) -> list[str]:
        return [line for line in self.invoice.authorised_words.split("\n") if line]


@dataclass(frozen=True, slots=True)
class Account:
    """An invoice, what was credited and paid on it, and what is left of each line to credit."""

    document: Document
    credits: tuple[Invoice, ...]
    payments: tuple[Payment, ...]
    left: tuple[tuple[InvoiceLine, Decimal], ...]
    borne: Borne | None  # what nobody has asked another payer for yet

    @property
    def invoice(self) -> Invoice:
        return self.document.invoice


def get_invoice(actor: Actor, number: str) -> Invoice:
    """The invoice or credit note of that number. A stranger's is 404, as none at all."""
    rows = Invoice.objects.of(actor).select_related("workshop", "order", "issued_by", "corrects")
    found: Invoice | None = rows.filter(number=number.upper()).first()
    if found is None:
        raise Http404
    return found


def get_payment(actor: Actor, number: str) -> Payment:
    rows = Payment.objects.of(actor).select_related("workshop", "invoice__order", "by")
    found: Payment | None = rows.filter(number=number.upper()).first()
    if found is None:
        raise Http404
    return found


def listing(actor: Actor, asked: str = "") -> QuerySet[Invoice]:
    """Newest first; `asked` is the number of an invoice, order or receipt, a plate or a VIN."""
    rows: QuerySet[Invoice] = (
        Invoice.objects.of(actor).select_related("order", "corrects").order_by("-issued_at", "-pk")
    )
    words = asked.strip().upper()
    if not words:
        return rows
    # A search by name would read every invoice there is: customers are found by their jobs.
    by_receipt = Payment.objects.of(actor).filter(number=words).values("invoice")
    return rows.filter(
        Q(number=words)
        | Q(order__number=words)
        | Q(corrects__number=words)
        | Q(plate=words)
        | Q(vin=words)
        | Q(pk__in=by_receipt)
    )


def invoices_of(order: RepairOrder) -> tuple[Invoice, ...]:
    """Every invoice and credit note of a job, oldest first."""
    rows = Invoice.objects.filter(order=order).select_related("issued_by", "corrects")
    return tuple(rows.order_by("issued_at", "pk"))


def document_of(invoice: Invoice) -> Document:
    """Two queries."""
    blocks: dict[int, list[InvoiceLine]] = {}
    for line in invoice.lines.select_related("corrects").order_by("complaint_line", "pk"):
        blocks.setdefault(line.complaint_line, []).append(line)
    return Document(
        invoice,
        tuple(_block(number, lines) for number, lines in blocks.items()),
        tuple(invoice.taxes.all()),
        signature.picture_of(invoice.signature),
    )


def account_of(invoice: Invoice) -> Account:
    """The number of queries does not grow with the lines."""
    document = document_of(invoice)
    left = {line.key: line.left for line in billed_lines(invoice)}
    lines = (line for block in document.blocks for line in block.lines)
    return Account(
        document,
        tuple(invoice.credits.select_related("issued_by").order_by("pk")),
        tuple(invoice.payments.select_related("by").order_by("pk")),
        tuple((line, left[line.pk]) for line in lines),
        borne_of(invoice),
    )


def _block(number: int, lines: list[InvoiceLine]) -> Block:
    return Block(
        number,
        lines[0].complaint_words,
        tuple(lines),
        str(lines[0].get_payer_display()),
        total(line.payer_amount for line in lines),
    )
