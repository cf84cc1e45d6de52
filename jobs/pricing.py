"""What a job costs, per complaint and altogether, before tax. Pure.

Every line is brought to the cent once, half up, by shop.money; totals only add lines that are
already in cents, so that the paper adds up when it is checked by hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shop.money import cents, labour_total, line_total, total


class LineKind(StrEnum):
    ASSEMBLY = "assembly"
    MATERIAL = "material"
    LABOUR = "labour"
    DIAGNOSIS = "diagnosis"
    SUBLET = "sublet"

    @property
    def group(self) -> Group:
        return _GROUPS[self]


class Group(StrEnum):
    """What a subtotal adds up, and what a tax is laid on."""

    ASSEMBLIES = "assemblies"
    LABOUR = "labour"
    SUBLET = "sublet"


_GROUPS = {
    LineKind.ASSEMBLY: Group.ASSEMBLIES,
    LineKind.MATERIAL: Group.ASSEMBLIES,
    LineKind.LABOUR: Group.LABOUR,
    LineKind.DIAGNOSIS: Group.LABOUR,
    LineKind.SUBLET: Group.SUBLET,
}
ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of an estimate: `complaint` is the key of the complaint that it belongs to.

    `quantity` is pieces, or hours of labour, at `unit_price` each; `amount` is their product to
    the cent. `condition` says of a part whether it is new, used, rebuilt or reconditioned.
    """

    complaint: int
    kind: LineKind
    text: str
    amount: Decimal
    quantity: Decimal = ONE
    unit_price: Decimal = Decimal(0)
    condition: str = ""


@dataclass(frozen=True, slots=True)
class ComplaintPrice:
    """What one complaint costs; all amounts in cents, before tax."""

    complaint: int
    lines: tuple[PriceLine, ...]
    assemblies: Decimal
    labour: Decimal
    sublet: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class OrderPrice:
    """What the whole job costs; all amounts in cents, before tax."""

    complaints: tuple[ComplaintPrice, ...]
    assemblies: Decimal
    labour: Decimal
    sublet: Decimal
    total: Decimal

    def of(self, complaint: int) -> ComplaintPrice:
        """The price of one complaint; nothing to pay when it has no lines."""
        for price in self.complaints:
            if price.complaint == complaint:
                return price
        return _complaint(complaint, ())


def assembly_line(complaint: int, text: str, price: Decimal, condition: str = "") -> PriceLine:
    """One assembly at `price`. Raises shop.money.AmountError for an amount that is none."""
    amount = cents(price)
    return PriceLine(complaint, LineKind.ASSEMBLY, text, amount, ONE, amount, condition)


def labour_line(
    complaint: int, text: str, tenths: int, rate: Decimal, *, diagnosis: bool = False
) -> PriceLine:
    """`tenths` of an hour (6 minutes each) at `rate` per hour; the hours stand in the text."""
    words = f"{text}, {hours(tenths)} h"
    kind = LineKind.DIAGNOSIS if diagnosis else LineKind.LABOUR
    amount = labour_total(tenths, rate)
    return PriceLine(complaint, kind, words, amount, Decimal(tenths) / 10, rate)


def other_line(
    complaint: int, kind: LineKind, text: str, quantity: Decimal, unit_price: Decimal
) -> PriceLine:
    """Sublet work or material: `quantity` at `unit_price` each, to the cent."""
    return PriceLine(complaint, kind, text, line_total(quantity, unit_price), quantity, unit_price)


def hours(tenths: int) -> str:
    """Tenths of an hour as the trade writes them: 12 -> "1.2"."""
    return f"{tenths // 10}.{tenths % 10}"


def price(complaints: Sequence[int], lines: Iterable[PriceLine]) -> OrderPrice:
    """Add up `lines` for each of `complaints`, in their order.

    Raises ValueError for a line of a complaint that is not among them.
    """
    sorted_out: dict[int, list[PriceLine]] = {complaint: [] for complaint in complaints}
    for line in lines:
        if line.complaint not in sorted_out:
            raise ValueError(f"A line belongs to complaint {line.complaint}, which is not priced.")
        sorted_out[line.complaint].append(line)
    priced = tuple(_complaint(complaint, tuple(own)) for complaint, own in sorted_out.items())
    return OrderPrice(
        priced,
        total(one.assemblies for one in priced),
        total(one.labour for one in priced),
        total(one.sublet for one in priced),
        total(one.total for one in priced),
    )


@dataclass(frozen=True, slots=True)
class Answered:
    """What an answer changes: `amount` is what it adds to what was authorised before."""

    amount: Decimal
    total_after: Decimal


def answered(
    prices: Mapping[int, Decimal], authorised: Collection[int], total_before: Decimal
) -> Answered:
    """The authorised total once the complaints in `authorised` stand, and what that adds.

    `prices` is the price of each complaint; `total_before` what had been authorised until now.
    """
    after = total(amount for complaint, amount in prices.items() if complaint in authorised)
    return Answered(cents(after - cents(total_before)), after)


def _complaint(complaint: int, lines: tuple[PriceLine, ...]) -> ComplaintPrice:
    sums = {
        group: total(line.amount for line in lines if line.kind.group is group) for group in Group
    }
    return ComplaintPrice(
        complaint,
        lines,
        sums[Group.ASSEMBLIES],
        sums[Group.LABOUR],
        sums[Group.SUBLET],
        total(sums.values()),
    )
