"""How a payer's file writes amounts and dates: told from the whole file, asked where it cannot be.

Pure. A column that holds "1.234,50" settles that the comma stands before the cents, also for the
"1.234" beside it; where nothing settles it, a person is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from shop.money import LARGEST, format_amount

Mark = Literal["", ".", ","]
Order = Literal["", "day", "month"]
EARLIEST = date(2000, 1, 1)
_AMOUNT = re.compile(r"^-?\d[\d.,]*$")
_GROUPED = re.compile(r"^\d{1,3}(?:[.,]\d{3})+$")
_SPACES = dict.fromkeys(map(ord, " \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}'’"))
_DATE = re.compile(r"^(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})$")


_LARGEST = format_amount(LARGEST, "")
_MOST_DIGITS = 12  # a longer one is no amount of money, and would be too long to round


class Unclear(ValueError):
    """`sentence` says what is wrong; `asks` is what a person can settle."""

    def __init__(self, sentence: str, asks: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.asks = asks


@dataclass(frozen=True, slots=True)
class Habits:
    """How the file writes: the sign before the cents, and which of day and month comes first."""

    decimal: Mark = ""
    dates: Order = ""


def bare(text: str) -> str:
    """The digits, signs and one minus before them; "12-" and "−12" are minus twelve."""
    plain = text.translate(_SPACES).replace("\N{MINUS SIGN}", "-")
    if plain.startswith("(") and plain.endswith(")"):
        plain = f"-{plain[1:-1]}"
    return f"-{plain[:-1]}" if plain.endswith("-") else plain


def mark_shown(text: str) -> Mark:
    """The sign before the cents that this one amount settles; "" when it settles nothing."""
    plain = bare(text).lstrip("-")
    points, commas = plain.count("."), plain.count(",")
    if points and commas:
        return "," if plain.rindex(",") > plain.rindex(".") else "."
    if points + commas == 0:
        return ""
    sign: Mark = "." if points else ","
    other: Mark = "," if points else "."
    if points + commas > 1:
        return other
    whole, _sign, rest = plain.partition(sign)
    return "" if len(rest) == 3 and 1 <= len(whole) <= 3 and whole != "0" else sign


def decimal_mark(amounts: Iterable[str]) -> Mark:
    """What the file's amounts settle together. Raises Unclear when they contradict each other."""
    shown = {mark for amount in amounts if (mark := mark_shown(amount))}
    if len(shown) > 1:
        raise Unclear(
            "Some amounts have a comma before the cents and some a point. "
            "Write all of them in one way."
        )
    return shown.pop() if shown else ""


def amount_of(text: str, mark: Mark) -> Decimal:
    """The amount that is written, to the cent. Raises Unclear."""
    plain = bare(text)
    if not _AMOUNT.match(plain):
        raise Unclear(f"“{text}” is not an amount. Write digits only, such as 84.50.")
    if not mark and ("." in plain or "," in plain):
        raise Unclear(
            f"“{text}” can be read in two ways. Say whether a point or a comma stands "
            "before the cents.",
            "decimal",
        )
    whole, _mark, rest = plain.partition(mark) if mark else (plain, "", "")
    digits = whole.lstrip("-")
    if (not digits.isdecimal() and not _GROUPED.match(digits)) or not (rest or "0").isdecimal():
        raise Unclear(f"“{text}” is not an amount. Write digits only, such as 84.50.")
    if len(rest) > 2 and rest[2:].strip("0"):
        raise Unclear(f"“{text}” has parts of a cent. Write at most two decimals.")
    sign = "-" if plain.startswith("-") else ""
    digits = "".join(letter for letter in digits if letter.isdecimal())
    if len(digits.lstrip("0")) > _MOST_DIGITS:
        raise Unclear(f"“{text[:40]}” is more than {_LARGEST}. Check the digits.")
    amount = Decimal(f"{sign}{digits}.{(rest or '0')[:2]}").quantize(Decimal("0.01"))
    if abs(amount) > LARGEST:
        raise Unclear(f"“{text}” is more than {_LARGEST}. Check the digits.")
    return amount


def order_shown(text: str) -> Order:
    """Which of day and month comes first, where this one date settles it."""
    found = _DATE.match(text.strip())
    if not found or len(found[1]) == 4 or found[2] == ".":
        return ""
    first, second = int(found[1]), int(found[3])
    if first > 12 >= second:
        return "day"
    return "month" if second > 12 >= first else ""


def date_order(dates: Iterable[str]) -> Order:
    """What the file's dates settle together. Raises Unclear when they contradict each other."""
    shown = {order for one in dates if (order := order_shown(one))}
    if len(shown) > 1:
        raise Unclear(
            "In some dates the day comes first and in some the month. "
            "Write all of them in one way, best as 2026-11-25."
        )
    return shown.pop() if shown else ""


def date_of(text: str, order: Order, today: date) -> date:
    """A date written 2026-11-25, 25.11.2026, or with strokes in the file's order.

    With points the day comes first. Raises Unclear.
    """
    found = _DATE.match(text.strip())
    if not found or (len(found[1]) != 4 and len(found[4]) != 4):
        raise Unclear(f"“{text}” is not a date with a year of four digits. Write it 2026-11-25.")
    first, second, third = int(found[1]), int(found[3]), int(found[4])
    if len(found[1]) == 4:
        year, month, day = first, second, third
    elif found[2] == "." or order == "day" or (not order and first == second):
        day, month, year = first, second, third
    elif order == "month":
        month, day, year = first, second, third
    else:
        raise Unclear(
            f"“{text}” can be read in two ways. Say whether the day or the month comes first.",
            "dates",
        )
    try:
        when = date(year, month, day)
    except ValueError:
        raise Unclear(f"There is no day “{text}”. Write it 2026-11-25.") from None
    if when > today:
        raise Unclear(f"“{text}” is still to come. Money is booked when it was paid.")
    if when < EARLIEST:
        raise Unclear(f"“{text}” is before the year 2000. Check the date.")
    return when
