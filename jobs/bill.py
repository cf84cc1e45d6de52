"""Who pays what of a job, and the taxes on it. Pure.

Lines come in whole cents (jobs.pricing). What a payer bears is rounded once per line, half up by
shop.money, and the rest of the line is the customer's, so that the two always make the line.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from enum import StrEnum

from jobs.pricing import Group, PriceLine
from shop.money import line_total, total

CUSTOMER = "customer"
WORKSHOP = "workshop"  # bears its own work: nothing is sold, so nothing is taxed
NOTHING = Decimal("0.00")
# What was closed longer ago was billed in some other way or never will be.
BILLED_WITHIN = timedelta(days=180)
_HUNDREDTH = Decimal("0.01")


class Rounding(StrEnum):
    LINE = "line"
    TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Share:
    """Who bears a complaint beside the customer, and how much of it, in percent.

    `deductible` is what the customer bears first of the payer's part, before tax: once a visit,
    so what it leaves over on one complaint goes on to the next of the same payer and `visit`.
    """

    payer: str = CUSTOMER
    payer_percent: Decimal = Decimal(100)
    deductible: Decimal = NOTHING
    visit: int = 0


@dataclass(frozen=True, slots=True)
class TaxRule:
    """`percent` of what belongs to `on`; with `customer_only` not of what another payer bears."""

    name: str
    percent: Decimal
    on: frozenset[Group]
    customer_only: bool = False


@dataclass(frozen=True, slots=True)
class SharedLine:
    """A line and who pays how much of it; the two parts make its amount."""

    line: PriceLine
    payer: str
    customer: Decimal
    other: Decimal


@dataclass(frozen=True, slots=True)
class TaxCharged:
    """One tax: `base` is what was taxed, `customer` the part of `amount` that the customer pays."""

    name: str
    percent: Decimal
    base: Decimal
    amount: Decimal
    customer: Decimal


@dataclass(frozen=True, slots=True)
class Bill:
    """All amounts in cents. `total` = the three groups + `tax` = `customer` + `other`."""

    lines: tuple[SharedLine, ...]
    assemblies: Decimal
    labour: Decimal
    sublet: Decimal
    taxes: tuple[TaxCharged, ...]
    tax: Decimal
    total: Decimal
    customer: Decimal
    other: Decimal

    @property
    def before_tax(self) -> Decimal:
        return total((self.assemblies, self.labour, self.sublet))


def make_bill(
    lines: Iterable[PriceLine],
    shares: Mapping[int, Share],
    taxes: Sequence[TaxRule],
    rounding: Rounding = Rounding.TOTAL,
) -> Bill:
    """Share the lines out and tax them; `shares` by complaint, without one the customer pays.

    Each tax is laid on what is taxed before any other tax, and worked out for the customer and
    for the other payer apart, since each of them gets a paper that has to add up.
    """
    shared = tuple(_less_deductible(lines, shares))
    charged = tuple(_charge(tax, shared, rounding) for tax in taxes)
    sums = {
        group: total(one.line.amount for one in shared if one.line.kind.group is group)
        for group in Group
    }
    tax = total(one.amount for one in charged)
    customer_tax = total(one.customer for one in charged)
    customer = total((*(one.customer for one in shared), customer_tax))
    everything = total((*sums.values(), tax))
    return Bill(
        lines=shared,
        assemblies=sums[Group.ASSEMBLIES],
        labour=sums[Group.LABOUR],
        sublet=sums[Group.SUBLET],
        taxes=charged,
        tax=tax,
        total=everything,
        customer=customer,
        other=total((everything, -customer)),
    )


def tax_on(amounts: Iterable[Decimal], percent: Decimal, rounding: Rounding) -> Decimal:
    """`percent` of the amounts, rounded on each of them or once on their sum."""
    rate = percent * _HUNDREDTH
    if rounding is Rounding.LINE:
        return total(line_total(amount, rate) for amount in amounts)
    return line_total(total(amounts), rate)


def _less_deductible(
    lines: Iterable[PriceLine], shares: Mapping[int, Share]
) -> Iterator[SharedLine]:
    """The lines shared out; the deductibles go off the first ones of their visit and payer."""
    left: dict[tuple[int, str], Decimal] = defaultdict(Decimal)
    for share in shares.values():
        left[share.visit, share.payer] += share.deductible
    for line in lines:
        share = shares.get(line.complaint, Share())
        one = _share(line, share)
        off = min(left[share.visit, share.payer], one.other)
        if off > 0:
            left[share.visit, share.payer] -= off
            customer, other = total((one.customer, off)), total((one.other, -off))
            one = SharedLine(line, one.payer, customer, other)
        yield one


def _share(line: PriceLine, share: Share) -> SharedLine:
    if share.payer == CUSTOMER:
        return SharedLine(line, CUSTOMER, line.amount, NOTHING)
    other = line_total(line.amount, share.payer_percent * _HUNDREDTH)
    return SharedLine(line, share.payer, total((line.amount, -other)), other)


def _charge(tax: TaxRule, lines: Sequence[SharedLine], rounding: Rounding) -> TaxCharged:
    taxed = [one for one in lines if one.line.kind.group in tax.on]
    customers = [one.customer for one in taxed]
    others = [] if tax.customer_only else [one.other for one in taxed if one.payer != WORKSHOP]
    customer = tax_on(customers, tax.percent, rounding)
    other = tax_on(others, tax.percent, rounding)
    return TaxCharged(
        tax.name, tax.percent, total((*customers, *others)), total((customer, other)), customer
    )
