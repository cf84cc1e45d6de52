"""What a kind of measurement asks for. Pure: the form is drawn from these, the input read by them.

A field's `name` is its name on the form. Beside it stand: `name-unit` for the unit chosen, `name-3`
for the third box of a series, `name-LF-speed` for column "speed" of the row "LF" of a grid.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shop.units import Kind


@dataclass(frozen=True, slots=True)
class Number:
    """One number with its unit. `unit` is the one usually typed.

    known: key of the platform's figure that fills it in.
    lowest, highest: SI, inclusive; outside of these no such thing exists, and it is refused.
    usual: SI range in which such a value lies; far outside it, but inside in another unit, the
        person is asked whether the unit is right.
    """

    name: str
    label: str
    kind: Kind
    unit: str
    required: bool = True
    help: str = ""
    known: str = ""
    lowest: float | None = None
    highest: float | None = None
    usual: tuple[float, float] | None = None
    whole: bool = False
    shape: Literal["number"] = "number"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of `options` (key, words). `default` is chosen already; `known` as with a number."""

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    default: str = ""
    required: bool = True
    help: str = ""
    known: str = ""
    shape: Literal["choice"] = "choice"


@dataclass(frozen=True, slots=True)
class Tick:
    name: str
    label: str
    help: str = ""
    shape: Literal["tick"] = "tick"


@dataclass(frozen=True, slots=True)
class Words:
    """A short text, such as a tyre size. `known` may also be "tyre" (the vehicle's)."""

    name: str
    label: str
    required: bool = True
    help: str = ""
    known: str = ""
    longest: int = 40
    shape: Literal["words"] = "words"


@dataclass(frozen=True, slots=True)
class Day:
    """A date, typed by the calendar's field."""

    name: str
    label: str
    required: bool = True
    help: str = ""
    shape: Literal["day"] = "day"


@dataclass(frozen=True, slots=True)
class Series:
    """Several values of the same thing in order: `boxes` of them, filled from the first without a
    gap. `least` must be filled; `counts`, when given, are the only numbers allowed (8 or 12)."""

    name: str
    label: str
    kind: Kind
    unit: str
    boxes: int = 12
    least: int = 1
    counts: tuple[int, ...] = ()
    required: bool = True
    help: str = ""
    box_labels: tuple[str, ...] = ()
    lowest: float | None = None
    highest: float | None = None
    usual: tuple[float, float] | None = None
    shape: Literal["series"] = "series"


Column = Number | Choice | Words


@dataclass(frozen=True, slots=True)
class Grid:
    """A table to fill in. `rows` are (key, label); a row left empty is left out, one begun needs
    its required columns. `least` rows must be filled."""

    name: str
    label: str
    rows: tuple[tuple[str, str], ...]
    columns: tuple[Column, ...]
    least: int = 1
    help: str = ""
    shape: Literal["grid"] = "grid"


FieldOf = Number | Choice | Tick | Words | Day | Series | Grid

FOUR_WHEELS = (
    ("LF", "Left front"),
    ("RF", "Right front"),
    ("LR", "Left rear"),
    ("RR", "Right rear"),
)
NUMBERED = tuple((str(number), str(number)) for number in range(1, 9))
ENGINE = Choice("engine", "Engine", (("running", "Running"), ("off", "Off")), required=False)
"""Asked where the limit depends on it; the outcome hands it on as `engine`."""
