"""What of an invoice was credited, and its own rates and rounding, as jobs.credit asks for them."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal

from jobs.bill import NOTHING, Rounding, TaxRule
from jobs.credit import BilledLine
from jobs.models import Invoice, InvoiceLine
from jobs.pricing import Group, LineKind
from shop.money import total

_Pair = tuple[Decimal, Decimal]


def billed_lines(invoice: Invoice) -> tuple[BilledLine, ...]:
    """The lines of an invoice with what was credited of each. Two queries."""
    before: dict[int, list[_Pair]] = defaultdict(list)
    credited = InvoiceLine.objects.filter(corrects__invoice=invoice)
    for key, customer, other in credited.values_list("corrects", "customer_amount", "payer_amount"):
        before[key or 0].append((customer, other))
    return tuple(
        BilledLine(
            row.pk,
            LineKind(row.kind).group,
            row.payer,
            row.customer_amount,
            row.payer_amount,
            total(pair[0] for pair in before[row.pk]) or NOTHING,
            total(pair[1] for pair in before[row.pk]) or NOTHING,
        )
        for row in invoice.lines.all()
    )


def rules_of(invoice: Invoice) -> tuple[TaxRule, ...]:
    """The taxes as they were charged."""
    return tuple(
        TaxRule(
            row.name, row.percent, frozenset(Group(on) for on in row.on.split()), row.customer_only
        )
        for row in invoice.taxes.all()
    )


def rounding_of(invoice: Invoice) -> Rounding:
    return Rounding(invoice.rounding)
