"""What another payer bears of a complaint: as the invoice says, or as it would say today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.bill import WORKSHOP
from jobs.claims.splitting import split
from jobs.models import Invoice, InvoiceTax, RepairOrder
from jobs.pricing import Group, LineKind
from jobs.queries.credited import billed_lines
from jobs.queries.priced import Row, bill_of_rows, in_order, price_line
from jobs.queries.terms import tax_rules
from shop.money import total


@dataclass(frozen=True, slots=True)
class Part:
    """One line and what the payer bears of it, before tax and less what was credited."""

    complaint: int  # the number of the complaint on the order
    group: Group
    payer: str
    text: str
    quantity: Decimal
    unit_price: Decimal
    other: Decimal


@dataclass(frozen=True, slots=True)
class PayersTax:
    """A tax and what of it other payers bear, of all complaints together."""

    name: str
    percent: Decimal
    on: frozenset[Group]
    other: Decimal


@dataclass(frozen=True, slots=True)
class Shares:
    parts: tuple[Part, ...]
    taxes: tuple[PayersTax, ...]

    def of(self, complaint: int) -> tuple[Part, ...]:
        return tuple(part for part in self.parts if part.complaint == complaint)

    def taxes_of(self, complaint: int) -> tuple[tuple[PayersTax, Decimal], ...]:
        """Each tax with this complaint's part of it: of all complaints they make the whole."""
        lines = sorted({part.complaint for part in self.parts})
        if complaint not in lines:
            return ()
        at = lines.index(complaint)
        return tuple((tax, split(tax.other, self._taxed(tax, lines))[at]) for tax in self.taxes)

    def _taxed(self, tax: PayersTax, lines: Sequence[int]) -> list[Decimal]:
        taxed = [p for p in self.parts if p.group in tax.on and p.payer != WORKSHOP]
        return [total(p.other for p in taxed if p.complaint == line) for line in lines]


def shares(order: RepairOrder, rows: Sequence[Row]) -> Shares:
    """By the standing invoice with its own rates, less its credit notes; without one by the job's
    `rows` as they stand. The number of queries does not grow with the lines."""
    invoice = (
        Invoice.objects.filter(order=order, kind=Invoice.Kind.INVOICE, standing=True)
        .prefetch_related("lines", "taxes")
        .first()
    )
    return _of_the_job(order, rows) if invoice is None else _of_the_invoice(invoice)


def _of_the_invoice(invoice: Invoice) -> Shares:
    billed = {line.key: line for line in billed_lines(invoice)}
    parts = tuple(
        Part(
            row.complaint_line,
            LineKind(row.kind).group,
            row.payer,
            row.text,
            row.quantity,
            row.unit_price,
            total((row.payer_amount, -billed[row.pk].other_before)),
        )
        for row in invoice.lines.all()
    )
    back = list(InvoiceTax.objects.filter(invoice__corrects=invoice))
    taxes = tuple(
        PayersTax(
            row.name,
            row.percent,
            frozenset(Group(on) for on in row.on.split()),
            total((_payers(row), *(-_payers(one) for one in back if _same(one, row)))),
        )
        for row in invoice.taxes.all()
    )
    return Shares(parts, taxes)


def _of_the_job(order: RepairOrder, rows: Sequence[Row]) -> Shares:
    ordered = in_order(rows)
    bill = bill_of_rows(order, ordered)
    parts = tuple(
        Part(
            row.complaint.line,
            one.line.kind.group,
            one.payer,
            one.line.text,
            one.line.quantity,
            one.line.unit_price,
            one.other,
        )
        for row, one in zip(ordered, bill.lines, strict=True)
    )
    rules = tax_rules(order.workshop)
    taxes = tuple(
        PayersTax(tax.name, tax.percent, rule.on, total((tax.amount, -tax.customer)))
        for rule, tax in zip(rules, bill.taxes, strict=True)
    )
    return Shares(parts, taxes)


def rows_by_part(parts: Sequence[Part], rows: Sequence[Row]) -> list[Row | None]:
    """The row of the job behind each line, told by its text; None where it is gone since."""
    left = in_order(rows)
    texts = [price_line(row).text for row in left]
    found: list[Row | None] = []
    for part in parts:
        at = texts.index(part.text) if part.text in texts else None
        found.append(None if at is None else left.pop(at))
        if at is not None:
            texts.pop(at)
    return found


def _payers(tax: InvoiceTax) -> Decimal:
    return total((tax.amount, -tax.customer_amount))


def _same(one: InvoiceTax, other: InvoiceTax) -> bool:
    return (one.name, one.percent, one.on) == (other.name, other.percent, other.on)
