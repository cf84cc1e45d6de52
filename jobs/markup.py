"""What a part is sold at: its cost plus the workshop's markup, or its list price. Pure.

The rule in words: a part whose cost is known is sold at its cost plus the percentage of the band
that its cost falls into, brought to the cent once, whether that is more or less than the list
price. A part whose cost is not known, or any part where no band holds, is sold at its list price.
A price typed by hand goes before both. That bands fall as the cost rises is common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from shop.money import CENT, cents, line_total

MOST_PERCENT = Decimal(1000)
MOST_BANDS = 10
_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True, order=True)
class Band:
    """From this cost on, up to the next band, a part is sold at cost plus `percent`."""

    from_cost: Decimal
    percent: Decimal


@dataclass(frozen=True, slots=True)
class Dip:
    """A dearer part that sells for less: one at `cost` for `price`, one cent below for more."""

    cost: Decimal
    price: Decimal
    cheaper_cost: Decimal
    cheaper_price: Decimal


class BandError(ValueError):
    """Bands that cannot hold; `sentence` says what would be right, `row` which one (from 0).

    `figure` is which of its two is wrong: "from_cost" or "percent".
    """

    def __init__(self, sentence: str, row: int, figure: str = "from_cost") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.row = row
        self.figure = figure


def band_for(cost: Decimal, bands: Iterable[Band]) -> Band | None:
    """The band that the cost falls into: the highest that begins at or below it."""
    return max((band for band in bands if band.from_cost <= cost), default=None)


def selling_price(list_price: Decimal, cost: Decimal | None, bands: Sequence[Band]) -> Decimal:
    """What one is sold at, in cents. Raises shop.money.AmountError for an amount that is none."""
    band = None if cost is None else band_for(cost, bands)
    if cost is None or band is None:
        return cents(list_price)
    return line_total(1 + band.percent / _HUNDRED, cost)


def check_bands(bands: Sequence[Band]) -> tuple[Band, ...]:
    """The bands in the order of their cost. Raises BandError with the row that is wrong.

    No bands at all are fine: then the list price holds. Else the first begins at 0.00, so that
    no known cost is without a markup.
    """
    for row, band in enumerate(bands):
        if band.from_cost < 0:
            raise BandError("A cost cannot be below zero.", row)
        if band.percent < 0:
            words = "A markup below zero would sell at a loss. Type 0 or more."
            raise BandError(words, row, "percent")
        if band.percent > MOST_PERCENT:
            raise BandError(
                f"{_plain(band.percent)} % is more than {MOST_PERCENT} %. Check the digits.",
                row,
                "percent",
            )
        if any(band.from_cost == other.from_cost for other in bands[:row]):
            raise BandError(f"Two bands begin at {cents(band.from_cost)}. Keep one.", row)
    ordered = tuple(sorted(bands))
    if ordered and ordered[0].from_cost != 0:
        row = list(bands).index(ordered[0])
        raise BandError(
            f"The lowest band begins at {cents(ordered[0].from_cost)}. Let it begin at 0.00, "
            "so that every part has its markup.",
            row,
        )
    return ordered


def dips(bands: Sequence[Band]) -> tuple[Dip, ...]:
    """Where a dearer part sells for less than a cheaper one.

    Within a band the price never falls with the cost, so only the edges can dip; without a dip
    no dearer part sells for less. A dip is allowed, since falling markups are usual, but shown.
    """
    ordered = sorted(bands)
    found = []
    for below, above in pairwise(ordered):
        cheaper = above.from_cost - CENT
        cheaper_price = selling_price(cheaper, cheaper, [below])
        price = selling_price(above.from_cost, above.from_cost, [above])
        if price < cheaper_price:
            found.append(Dip(above.from_cost, price, cheaper, cheaper_price))
    return tuple(found)


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
