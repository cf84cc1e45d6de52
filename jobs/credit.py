"""A credit on an invoice: shares and taxes of what is taken back, by the invoice's own rates. Pure.

Tax is worked out on all that was credited up to now and on all that will have been, and the
difference is credited: so every credit is right to the cent together with those before it, and
the one that completes the invoice leaves nothing over.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.bill import NOTHING, WORKSHOP, Rounding, TaxRule, tax_on
from jobs.pricing import Group
from shop.money import cents, total


@dataclass(frozen=True, slots=True)
class BilledLine:
    """A line as it was invoiced, and what of both shares was credited before; in cents."""

    key: int
    group: Group
    payer: str
    customer: Decimal
    other: Decimal
    customer_before: Decimal = NOTHING
    other_before: Decimal = NOTHING

    @property
    def amount(self) -> Decimal:
        return total((self.customer, self.other))

    @property
    def left(self) -> Decimal:
        return total((self.amount, -self.customer_before, -self.other_before))


@dataclass(frozen=True, slots=True)
class CreditedLine:
    key: int
    group: Group
    customer: Decimal
    other: Decimal

    @property
    def amount(self) -> Decimal:
        return total((self.customer, self.other))


@dataclass(frozen=True, slots=True)
class CreditedTax:
    """`base` is what the tax is taken back on, `customer` the part that the customer gets back."""

    rule: TaxRule
    base: Decimal
    amount: Decimal
    customer: Decimal


@dataclass(frozen=True, slots=True)
class Credit:
    lines: tuple[CreditedLine, ...]
    taxes: tuple[CreditedTax, ...]
    completes: bool

    def of(self, group: Group) -> Decimal:
        return total(line.amount for line in self.lines if line.group is group)

    @property
    def tax(self) -> Decimal:
        return total(tax.amount for tax in self.taxes)

    @property
    def total(self) -> Decimal:
        return total((*(line.amount for line in self.lines), self.tax))

    @property
    def customer(self) -> Decimal:
        own = (line.customer for line in self.lines)
        return total((*own, *(tax.customer for tax in self.taxes)))


def make_credit(
    lines: Sequence[BilledLine],
    amounts: Mapping[int, Decimal],
    taxes: Sequence[TaxRule],
    rounding: Rounding,
) -> Credit:
    """Take `amounts` (by key of the line, before tax) back; lines that are not named stay.

    Of a shared line both payers get back in the proportion in which they were billed, the payer's
    share rounded half up, and never more than is left of either. Raises ValueError for an amount
    below zero, above what is left, or for a line that is not on the invoice.
    """
    strange = set(amounts) - {line.key for line in lines}
    if strange:
        raise ValueError(f"Line {min(strange)} is not on this invoice.")
    asked = [(line, cents(amounts.get(line.key, NOTHING))) for line in lines]
    for line, amount in asked:
        if not 0 <= amount <= line.left:
            raise ValueError(f"Of line {line.key} between 0.00 and {line.left} can be credited.")
    taken = [_take(line, amount) for line, amount in asked]
    return Credit(
        tuple(credited for line, credited in zip(lines, taken, strict=True) if line.key in amounts),
        tuple(_tax(rule, lines, taken, rounding) for rule in taxes),
        all(amount == line.left for line, amount in asked),
    )


def _take(line: BilledLine, amount: Decimal) -> CreditedLine:
    customer_left = total((line.customer, -line.customer_before))
    other_left = total((line.other, -line.other_before))
    if line.other and line.customer:
        # Multiplied first, so that halves of a cent are met exactly.
        other = cents(amount * line.other / line.amount)
    else:
        other = amount if line.other else NOTHING
    other = min(max(other, total((amount, -customer_left))), other_left)
    return CreditedLine(line.key, line.group, total((amount, -other)), other)


def _tax(
    rule: TaxRule,
    lines: Sequence[BilledLine],
    taken: Sequence[CreditedLine],
    rounding: Rounding,
) -> CreditedTax:
    pairs = [(line, now) for line, now in zip(lines, taken, strict=True) if line.group in rule.on]
    customers = [(line.customer_before, now.customer) for line, now in pairs]
    others = [
        (line.other_before, now.other)
        for line, now in pairs
        if not rule.customer_only and line.payer != WORKSHOP
    ]
    customer = _more(customers, rule.percent, rounding)
    other = _more(others, rule.percent, rounding)
    base = total(now for _before, now in (*customers, *others))
    return CreditedTax(rule, base, total((customer, other)), customer)


def _more(
    pairs: Sequence[tuple[Decimal, Decimal]], percent: Decimal, rounding: Rounding
) -> Decimal:
    """What the tax on all that was credited grows by."""
    before = tax_on([was for was, _now in pairs], percent, rounding)
    after = tax_on([total((was, now)) for was, now in pairs], percent, rounding)
    return total((after, -before))
