"""The small notations a catalogue file uses: places, allowed ranges, hours, codes. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

from pydantic import BeforeValidator, StringConstraints
from pydantic_core import PydanticCustomError

from diagnostics.catalogue.problems import Wrong, instead

CORNERS = ("LF", "RF", "LR", "RR")
POSITIONS = (*CORNERS, "front", "rear")
STEP_POSITIONS = (*POSITIONS, "suspect", "opposite")

_NUMBER = r"[-+]?\d{1,12}(?:\.\d{1,12})?"
_AMOUNT = re.compile(rf"({_NUMBER})\s*(\D.*)?")


@dataclass(frozen=True)
class Amount:
    """A number as written and the unit beside it ('' when none was written)."""

    number: Decimal
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}".strip()


@dataclass(frozen=True)
class Allowed:
    """The range a measured value may have, as written; one side may be open."""

    low: Amount | None
    high: Amount | None


def amount(text: str) -> Amount:
    """`1.28 kohm` -> Amount. Raises Wrong when there is no number in front."""
    text = text.strip()
    if re.match(r"[-+]?\d+,\d", text):
        raise Wrong(f"{text!r} has a decimal comma", "write a decimal point, as in 1.28 kohm")
    found = _AMOUNT.fullmatch(text)
    if found is None:
        raise Wrong(f"{text!r} is no amount", "write a number and its unit, as in 1.28 kohm")
    return Amount(Decimal(found[1]), (found[2] or "").strip())


def allowed(text: str) -> Allowed:
    """`1.28 to 1.50 kohm`, `at least 250 mV`, `at most 0.05 mm` -> Allowed. Raises Wrong."""
    words = " ".join(text.split())
    if words.startswith("at least "):
        return Allowed(amount(words.removeprefix("at least ")), None)
    if words.startswith("at most "):
        return Allowed(None, amount(words.removeprefix("at most ")))
    low_text, joined, high_text = words.partition(" to ")
    if not joined:
        right = "write `1.28 to 1.50 kohm`, `at least 250 mV` or `at most 0.05 mm`"
        raise Wrong(f"{text!r} is no range", right)
    low, high = amount(low_text), amount(high_text)
    return Allowed(Amount(low.number, low.unit or high.unit), high)


def places(text: str) -> tuple[str, ...]:
    """`LR RR` -> ("LR", "RR"). Raises Wrong for an unknown or repeated position."""
    names = tuple(text.replace(",", " ").split())
    for name in names:
        if name not in POSITIONS:
            raise Wrong(f"{name} is no position", instead(name, POSITIONS, "position"))
    if len(set(names)) < len(names):
        raise Wrong(f"a position is named twice in {text!r}", "name each position once")
    return names


def step_place(text: str) -> str:
    """One position of a step; `suspect` and `opposite` are settled when the step is done."""
    if text not in STEP_POSITIONS:
        raise Wrong(f"{text} is no position", instead(text, STEP_POSITIONS, "position"))
    return text


def tenths(text: str) -> int:
    """Hours as typed (`0.8`) -> whole tenths of an hour (8). Raises Wrong."""
    try:
        hours = Decimal(text)
    except InvalidOperation:
        raise Wrong(
            f"{text!r} is no number of hours", "write hours and tenths, as in 0.8"
        ) from None
    if not hours.is_finite() or not 0 < hours <= 99:
        raise Wrong(f"{text} hours cannot be", "labour is between 0.1 and 99 hours")
    if hours * 10 != int(hours * 10):
        below = Decimal(int(hours * 10)) / 10
        right = (
            f"write {below + Decimal('0.1')}"
            if not below
            else (f"write {below} or {below + Decimal('0.1')}")
        )
        raise Wrong(f"{text} hours is not a whole number of tenths", right)
    return int(hours * 10)


def _reading(parse: Any) -> BeforeValidator:
    """A validator that lets `parse` speak in its own words."""

    def read(value: Any) -> Any:
        if not isinstance(value, str):
            raise PydanticCustomError("catalogue", "{wrong}", _TEXT)
        try:
            return parse(value.strip())
        except Wrong as wrong:
            raise PydanticCustomError(
                "catalogue", "{wrong}", {"wrong": wrong.wrong, "right": wrong.right}
            ) from None

    return BeforeValidator(read)


_TEXT: dict[str, Any] = {"wrong": "a list or a section stands here", "right": "write plain text"}


def _text(longest: int) -> StringConstraints:
    return StringConstraints(strip_whitespace=True, min_length=1, max_length=longest)


Key = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]
PartNo = Annotated[str, StringConstraints(pattern=r"^[A-Z0-9][A-Z0-9.\-]*$", max_length=40)]
OperationNo = Annotated[str, StringConstraints(pattern=r"^[A-Z0-9][A-Z0-9.\-]*$", max_length=20)]
Word = Annotated[str, _text(40)]
Line = Annotated[str, _text(120)]
LongLine = Annotated[str, _text(200)]
Prose = Annotated[str, _text(2000)]
AmountField = Annotated[Amount, _reading(amount)]
AllowedField = Annotated[Allowed, _reading(allowed)]
Places = Annotated[tuple[str, ...], _reading(places)]
StepPlace = Annotated[str, _reading(step_place)]
Tenths = Annotated[int, _reading(tenths)]
