"""What a chart shows, without saying how it is drawn: shop/web/charts.py draws it. Pure.

Numbers are already in the unit that the axis names; points run from left to right. A chart says in
one sentence what is to be seen in it, for those who cannot see it, and carries its numbers as a
table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["value", "second", "third", "fourth", "limit", "good", "near", "bad", "soft"]
"""What a mark stands for; the drawing gives each role its colour, shape and dash."""


@dataclass(frozen=True, slots=True)
class Axis:
    """`low` and `high` None: as far as the points go. `zero`: the axis begins at nought.

    `log`: every tenfold is equally wide; drawn straight where something is not above nought.
    """

    label: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    zero: bool = False
    log: bool = False

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points (x, y), with a dot on each when `dots`."""

    name: str
    points: tuple[tuple[float, float], ...]
    role: Role = "value"
    dots: bool = False
    dashed: bool = False
    kind: Literal["line"] = "line"


@dataclass(frozen=True, slots=True)
class Dots:
    """Separate points (x, y)."""

    name: str
    points: tuple[tuple[float, float], ...]
    role: Role = "value"
    kind: Literal["dots"] = "dots"


@dataclass(frozen=True, slots=True)
class Band:
    """An area between (x, low, high): what is allowed, or an uncertainty."""

    name: str
    points: tuple[tuple[float, float, float], ...]
    role: Role = "good"
    kind: Literal["band"] = "band"


@dataclass(frozen=True, slots=True)
class Level:
    """A straight rule across the chart at one value, with its words at its end."""

    name: str
    at: float
    role: Role = "limit"
    axis: Literal["x", "y"] = "y"
    kind: Literal["level"] = "level"


@dataclass(frozen=True, slots=True)
class Bars:
    """One bar for each (label, value); `roles` may give each bar its own, and `limits` (low, high)
    say for each how far its value is known."""

    name: str
    bars: tuple[tuple[str, float], ...]
    roles: tuple[Role, ...] = ()
    limits: tuple[tuple[float, float], ...] = ()
    kind: Literal["bars"] = "bars"


Layer = Line | Dots | Band | Level | Bars


@dataclass(frozen=True, slots=True)
class Beneath:
    """A row of short words under the plot, each at a value of the x axis: how many were at risk."""

    name: str
    words: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Numbers as text, one row under each other; the first column names the row."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """`says`: what is to be seen, in one sentence. `square`: both axes to the same scale, without
    ticks (a disc seen from its face). Bars are not mixed with other layers but levels."""

    title: str
    says: str
    x: Axis
    y: Axis
    layers: tuple[Layer, ...]
    square: bool = False
    table: Table | None = None
    beneath: Beneath | None = None
