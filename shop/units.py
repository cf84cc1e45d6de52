"""Every conversion of the product, and the reading and writing of numbers. Pure.

Quantities are stored in SI-coherent units (metre, ohm, pascal, kelvin, radian, per cent as a
ratio...) and typed and shown in the person's own. The arithmetic is done on exact fractions
and rounded once at the end, so that 0.1 mm and 100 um are stored as the same number and a
reading that stands exactly on its limit is found to stand exactly on it.

Factors: NIST SP 811, appendix B (`shop/unit_table.py`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from shop.unit_table import UNITS, Kind, Unit

__all__ = [
    "MINUS_SIGN",
    "NARROW_NO_BREAK_SPACE",
    "NO_BREAK_SPACE",
    "Kind",
    "Unit",
    "UnitError",
    "convert",
    "decimals_needed",
    "format_number",
    "format_value",
    "from_si",
    "kind_of",
    "parse_number",
    "plain_decimal",
    "shows_over_range",
    "si_unit_of",
    "spaced",
    "symbol_of",
    "to_si",
    "unit",
    "units_of",
    "with_unit",
]

NO_BREAK_SPACE = "\u00a0"
NARROW_NO_BREAK_SPACE = "\u202f"
MINUS_SIGN = "\u2212"


_TOO_LARGE = "That number is too large to be a measurement. Check the digits."
_QUOTED = 40  # characters of what was typed that a sentence repeats


class UnitError(ValueError):
    """A unit or a number that cannot be used; `sentence` says what would be right."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def _spellings(units: Iterable[Unit]) -> dict[str, Unit]:
    found: dict[str, Unit] = {}
    for one in units:
        for spelling in {one.key, one.symbol, *one.others} - {""}:
            if spelling in found:
                raise UnitError(f"Two units are both written “{spelling}”.")
            found[spelling] = one
    return found


_BY_SPELLING: Mapping[str, Unit] = MappingProxyType(_spellings(UNITS))


def unit(text: str) -> Unit:
    """The unit written `text` (key, symbol or another usual spelling; capitals matter).

    Raises UnitError, with the near misses, when nothing is written like that.
    """
    # The ohm sign is a letter of its own in some keyboards' tables.
    wanted = " ".join(text.replace("\u2126", "Ω").split())
    found = _BY_SPELLING.get(wanted)
    if found is not None:
        return found
    close = sorted({one.key for name, one in _BY_SPELLING.items() if _same_letters(name, wanted)})
    hint = f" Did you mean {' or '.join(close)}?" if close else ""
    raise UnitError(f"“{_quoted(text)}” is not a unit that is known here.{hint}")


def _same_letters(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def kind_of(name: str) -> Kind:
    """What the unit `name` measures. Raises UnitError for an unknown unit."""
    return unit(name).kind


def units_of(kind: str) -> list[str]:
    """Keys of all units of a kind, the commonest in the shop first.

    Raises UnitError for an unknown kind.
    """
    try:
        wanted = Kind(kind)
    except ValueError:
        known = ", ".join(Kind)
        raise UnitError(f"“{kind}” is not a kind of quantity. Known are: {known}.") from None
    return [one.key for one in UNITS if one.kind is wanted]


def si_unit_of(kind: str) -> str:
    """Key of the unit in which a kind is stored."""
    for key in units_of(kind):
        one = _BY_SPELLING[key]
        if one.factor == 1 and one.offset == 0:
            return key
    raise UnitError(f"No unit of {kind} is marked as the stored one.")


def symbol_of(name: str) -> str:
    """The unit as it is shown: kohm -> kΩ, degC -> °C; "" for a plain number."""
    return unit(name).symbol


def _fraction(value: float) -> Fraction:
    if not math.isfinite(value):
        raise UnitError("Only a finite number converts. Mark an open circuit as over range.")
    # Through the shortest decimal, so that what was typed is what is converted.
    return Fraction(repr(float(value)))


def _rounded_once(exact: Fraction) -> float:
    try:
        return float(exact)
    except OverflowError:
        raise UnitError(_TOO_LARGE) from None


def to_si(value: float, name: str) -> float:
    """`value` in the unit `name`, as the SI-coherent number that is stored.

    Raises UnitError for an unknown unit or a value that is not finite or leaves the range.
    """
    one = unit(name)
    return _rounded_once((_fraction(value) + one.offset) * one.factor)


def from_si(value: float, name: str) -> float:
    """The stored SI-coherent `value` expressed in the unit `name`.

    Raises UnitError for an unknown unit or a value that is not finite or leaves the range.
    """
    one = unit(name)
    return _rounded_once(_fraction(value) / one.factor - one.offset)


def convert(value: float, given: str, wanted: str) -> float:
    """`value` in the unit `given`, expressed in the unit `wanted`.

    Raises UnitError when the two do not measure the same kind of thing.
    """
    one, other = unit(given), unit(wanted)
    if one.kind is not other.kind:
        raise UnitError(
            f"{one.key} measures {one.kind} and {other.key} measures {other.kind}: "
            "one does not convert into the other."
        )
    return _rounded_once((_fraction(value) + one.offset) * one.factor / other.factor - other.offset)


# ---- reading what was typed ----

_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f']+")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)")
_GROUPED = re.compile(
    r"[+-]?[1-9][0-9]{0,2}"
    r"(?P<group>[., ])[0-9]{3}(?:(?P=group)[0-9]{3})*"
    r"(?:(?P<mark>[.,])[0-9]*)?"
)
_COULD_BE_EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_OVER_RANGE = frozenset({"OL", "0L", "OVER", "OVERRANGE", "OPEN", "OPENCIRCUIT", "INF", "∞"})


def plain_decimal(text: str) -> str:
    """What was typed, as a decimal that Python reads: "1 385,5" -> "1385.5".

    Understands a decimal comma or point, a minus sign, and thousands set off by spaces,
    apostrophes, points or commas where that leaves no doubt. A point alone is always the
    decimal mark. A comma before exactly three last digits ("1,234") is refused, because it
    is 1.234 to one reader and 1234 to the next, and a limit lies between the two.

    Raises UnitError with a sentence saying what to type.
    """
    typed = text.strip().replace(MINUS_SIGN, "-").replace("\u2013", "-")
    compact = _SPACES.sub(" ", typed)
    if not compact:
        raise UnitError("Type a number.")
    if _COULD_BE_EITHER.fullmatch(compact):
        decimal, whole = compact.replace(",", "."), compact.replace(",", "")
        raise UnitError(
            f"“{compact}” can be read as {decimal} or as {whole}. "
            f"Type {decimal} for the first or {whole} for the second."
        )
    if _PLAIN.fullmatch(compact):
        return compact.replace(",", ".")
    grouped = _GROUPED.fullmatch(compact)
    if grouped and grouped["mark"] != grouped["group"]:
        return compact.replace(grouped["group"], "").replace(",", ".")
    raise UnitError(_what_is_wrong(text.strip(), compact))


def _quoted(typed: str) -> str:
    return typed if len(typed) <= _QUOTED else f"{typed[:_QUOTED]}…"


def _what_is_wrong(typed: str, compact: str) -> str:
    shown = _quoted(typed)
    if shows_over_range(typed) or compact.casefold() in {"nan", "infinity", "-inf", "-∞"}:
        return (
            "That is not a number. If the meter shows over range, mark the reading as over range."
        )
    if re.match(r"[+-]?[0-9.,]+ ?[^0-9.,+\- ]", compact):
        return f"Type only the number: “{shown}” has something after it. The unit is set beside."
    if re.search(r"[0-9]", compact):
        return f"“{shown}” is not one number. Type digits with at most one decimal point or comma."
    return f"“{shown}” is not a number. Type digits, for example 1.38 or 1,38."


def parse_number(text: str) -> float:
    """The number that was typed. See `plain_decimal` for what is understood.

    Raises UnitError with a sentence; never returns nan or an infinity.
    """
    number = float(plain_decimal(text))
    if not math.isfinite(number):
        raise UnitError(_TOO_LARGE)
    return number


def shows_over_range(text: str) -> bool:
    """Whether this is how an instrument shows over range: OL, O.L, 0L, open, the infinity sign."""
    return re.sub(r"[\s.\-]", "", text).upper() in _OVER_RANGE


# ---- writing ----


def format_number(value: float, *, digits: int | None = None, decimals: int | None = None) -> str:
    """A number for people: decimal point, true minus sign, thousands set off from 10 000 up.

    `decimals` fixes the places after the point; otherwise `digits` fixes the significant
    figures; with neither, at most four significant figures with no useless zeros, and
    never fewer digits than the whole part has. Rounds half up. Raises UnitError for nan and
    infinities, ValueError for digits below 1.
    """
    if not math.isfinite(value):
        raise UnitError("Only a finite number can be written.")
    if digits is not None and digits < 1:
        raise ValueError("digits must be at least 1.")
    exact = Decimal(repr(float(value)))
    if decimals is not None:
        rounded = _rounded(exact, decimals)
    elif digits is not None:
        rounded = _significant(exact, digits)
    else:
        rounded = _trimmed(_significant(exact, 4))
    return _dressed(rounded)


def decimals_needed(value: float, *, digits: int = 4) -> int:
    """Places after the point that show `value` to `digits` significant figures, zeros dropped."""
    exponent = _trimmed(_significant(Decimal(repr(float(value))), digits)).as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _rounded(exact: Decimal, decimals: int) -> Decimal:
    # Built by hand: quantize raises once a value has more digits than the context keeps.
    step = Fraction(10) ** -decimals
    steps = abs(Fraction(exact)) / step
    whole = int(steps + Fraction(1, 2))
    return Decimal(f"{'-' if exact < 0 and whole else ''}{whole}E{-decimals}")


def _significant(exact: Decimal, digits: int) -> Decimal:
    if exact == 0:
        return Decimal(0)
    places = max(0, digits - 1 - exact.adjusted())
    rounded = _rounded(exact, places)
    # 9.996 to three figures is 10.0, not 10.00.
    if places and rounded.adjusted() > exact.adjusted():
        rounded = _rounded(exact, places - 1)
    return rounded


def _trimmed(number: Decimal) -> Decimal:
    text = f"{number:f}"
    return Decimal(text.rstrip("0").rstrip(".")) if "." in text else Decimal(text)


def _dressed(number: Decimal) -> str:
    text = f"{abs(number):f}"
    whole, point, rest = text.partition(".")
    return f"{MINUS_SIGN if number < 0 else ''}{spaced(whole)}{point}{rest}"


def spaced(whole: str | int) -> str:
    """The digits of a whole number, thousands set off by a narrow space from 10 000 up.

    A space and no comma: 1,234 is 1.234 to some who read it (SP 811, 10.5.3). Of numbers below
    zero the sign is the caller's.
    """
    digits = str(whole)
    return digits if len(digits) < 5 else f"{int(digits):,}".replace(",", NARROW_NO_BREAK_SPACE)


def with_unit(text: str, name: str) -> str:
    """A number already written, its unit after a space that does not break: "1.385 kΩ"."""
    symbol = symbol_of(name)
    if not symbol:
        return text
    # SP 811 7.2: the signs for plane angle alone stand close to the number.
    gap = "" if symbol in {"°", "\u2032"} else NO_BREAK_SPACE
    return f"{text}{gap}{symbol}"


def format_value(
    si: float, name: str, *, digits: int | None = None, decimals: int | None = None
) -> str:
    """The stored SI-coherent number `si`, written in the unit `name` with its symbol.

    `digits` and `decimals` as in `format_number`. Raises UnitError for an unknown unit.
    """
    return with_unit(format_number(from_si(si, name), digits=digits, decimals=decimals), name)
