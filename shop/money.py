"""Money: decimals only, and one rounding for the whole product. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal, localcontext

from shop.units import MINUS_SIGN, NO_BREAK_SPACE, UnitError, plain_decimal, spaced

CENT = Decimal("0.01")
LARGEST = Decimal("9999999.99")

# Room for any product of two stored amounts, so that only `cents` ever rounds.
_PRECISION = 60


class AmountError(ValueError):
    """An amount that cannot be used; `sentence` says what would be right."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def cents(amount: Decimal) -> Decimal:
    """`amount` rounded to the cent, halves away from zero. The only rounding of money.

    Raises TypeError for a float (it has already lost the cents it shows) and AmountError
    for nan and infinities.
    """
    _must_be_exact(amount)
    if not amount.is_finite():
        raise AmountError("That is not an amount of money.")
    with localcontext(prec=_PRECISION):
        rounded = amount.quantize(CENT, rounding=ROUND_HALF_UP)
    return rounded or Decimal("0.00")


def parse_amount(
    text: str, *, currency_symbol: str = "", maximum: Decimal = LARGEST, negative: bool = False
) -> Decimal:
    """The amount that was typed, in cents' precision: "1 234,50" -> Decimal("1234.50").

    The workshop's own currency sign may stand before or after it. More than two decimals,
    a negative amount (unless `negative`), more than `maximum` and an undecidable "1,234"
    are refused with an AmountError whose sentence says what to type.
    """
    typed = text.strip()
    sign = currency_symbol.strip()
    if sign:
        typed = typed.removeprefix(sign).removesuffix(sign).strip()
    try:
        amount = Decimal(plain_decimal(typed))
    except UnitError as error:
        raise AmountError(_in_money_words(typed, error.sentence)) from None
    if amount < 0 and not negative:
        raise AmountError("The amount is below zero. Type it without the minus sign.")
    if abs(amount) > maximum:
        raise AmountError(
            f"The amount is more than {format_amount(maximum, currency_symbol)}. Check the digits."
        )
    rounded = cents(amount)
    if rounded != amount:
        raise AmountError(
            f"“{typed}” has parts of a cent. Type at most two decimals, for example {rounded}."
        )
    return rounded


def _in_money_words(typed: str, sentence: str) -> str:
    if not typed:
        return "Type an amount, for example 84.50."
    if "can be read as" in sentence:
        return sentence
    return f"“{typed}” is not an amount. Type digits only, for example 84.50."


def format_amount(amount: Decimal, currency_symbol: str) -> str:
    """An amount for people: "$1234.50", "-" as a true minus before the sign.

    Thousands are set off as in every number of the product, from 10 000 up.
    A currency written in letters stands off by a space that does not break: "kr 12.00".
    Raises as `cents`.
    """
    rounded = cents(amount)
    sign = currency_symbol.strip()
    gap = NO_BREAK_SPACE if sign[-1:].isalpha() else ""
    whole, _point, decimals = f"{abs(rounded):.2f}".partition(".")
    minus = MINUS_SIGN if rounded < 0 else ""
    return f"{minus}{sign}{gap}{spaced(whole)}.{decimals}"


def line_total(quantity: Decimal | int, price: Decimal) -> Decimal:
    """`quantity` times the `price` of one, to the cent. Raises as `cents`."""
    _must_be_exact(quantity)
    _must_be_exact(price)
    with localcontext(prec=_PRECISION):
        exact = Decimal(quantity) * price
    return cents(exact)


def labour_total(tenths: int, rate: Decimal) -> Decimal:
    """`tenths` of an hour (6 minutes each) at `rate` per hour, to the cent. Raises as `cents`."""
    if isinstance(tenths, bool) or not isinstance(tenths, int):
        raise TypeError("Labour is counted in whole tenths of an hour.")
    return line_total(Decimal(tenths) / 10, rate)


def total(amounts: Iterable[Decimal]) -> Decimal:
    """The sum of amounts that are each already in cents; 0.00 for none. Raises as `cents`."""
    summed = Decimal(0)
    for amount in amounts:
        summed += cents(amount)
    return cents(summed)


def _must_be_exact(number: Decimal | int) -> None:
    if isinstance(number, bool) or not isinstance(number, (Decimal, int)):
        raise TypeError(f"Money is counted in decimals, not in {type(number).__name__}.")
