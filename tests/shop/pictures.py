"""Reading a drawn chart back: where its marks and words lie, from nothing but the SVG."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

from shop.charting import Axis, Band, Bars, Chart, Dots, Level, Line, Role
from shop.web import charts
from shop.web.chart_marks import Ground
from shop.web.chart_size import Size
from shop.web.chart_svg import dressed

_SHIFT = re.compile(r"translate\(([-\d.]+),([-\d.]+)\)")
_PAIR = re.compile(r"[ML](-?[\d.]+),(-?[\d.]+)")
ROLES: tuple[Role, ...] = (
    "value",
    "second",
    "third",
    "fourth",
    "limit",
    "good",
    "near",
    "bad",
    "soft",
)


@dataclass(frozen=True)
class Mark:
    """An element with where it really lies; `group` is the nearest named group about it."""

    tag: str
    group: str
    x: float
    y: float
    attributes: dict[str, str]
    text: str

    def corners(self) -> list[tuple[float, float]]:
        """The corners of a path, where they really lie."""
        pairs = _PAIR.findall(self.attributes["d"])
        return [(self.x + float(x), self.y + float(y)) for x, y in pairs]


def svg_of(chart: Chart, size: Size, ground: Ground = "page") -> str:
    drawing = charts.drawn(chart, size)
    assert drawing is not None
    return dressed(drawing, ground, "own")


def marks_of(svg: str) -> list[Mark]:
    return list(_walk(ElementTree.fromstring(svg), "", 0.0, 0.0))


def _walk(element: ElementTree.Element, group: str, x: float, y: float) -> Iterator[Mark]:
    shift = _SHIFT.search(element.get("transform", ""))
    if shift:
        x, y = x + float(shift[1]), y + float(shift[2])
    tag = element.tag.partition("}")[2]
    group = element.get("class", "") or group
    yield Mark(tag, group, x, y, dict(element.attrib), element.text or "")
    for child in element:
        yield from _walk(child, group, x, y)


def number(text: str) -> float:
    """A tick's words as a number."""
    return float(text.replace("\u2212", "-").replace("\u202f", ""))


def ticks_of(marks: list[Mark]) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """(value, pixel) of the ticks across and up. Words stand a fixed way beside their ticks."""
    labels = [mark for mark in marks if mark.group == "axis-label" and mark.tag == "text"]
    across = [mark for mark in labels if mark.attributes.get("text-anchor") == "middle"]
    up = [mark for mark in labels if mark.attributes.get("text-anchor") == "end"]
    return [(number(m.text), m.x) for m in across], [(number(m.text), m.y) for m in up]


# One chart of each kind of layer, and what they are mixed to.
LINE = Line("Left rear", ((0.0, 1.0), (10.0, 4.0), (20.0, 2.5)), dots=True)
DOTS = Dots("Read", ((3.0, 1.5), (14.0, 3.0)), "near")
BAND = Band("Allowed", ((0.0, 0.5, 3.0), (20.0, 1.0, 3.5)))
LEVELS = (Level("Highest", 3.8), Level("Straight ahead", 8.0, "soft", "x"))
BARS = Bars("Force", (("LF", 2480.0), ("RF", 2410.0), ("LR", 890.0)), ("good", "near", "bad"))
LONG = Bars("Lining", tuple((f"A name that has no room beneath, {n}", 1.0 + n) for n in range(5)))
SHORT = Bars(
    "", tuple((f"Hub and its sensor {n:02}", n - 2.0) for n in range(14)), roles=("good",) * 14
)
X, Y = Axis("Time", "s"), Axis("Pressure", "bar")
ALL: dict[str, Chart] = {
    "line": Chart("A line", "It rises and falls.", X, Y, (LINE,)),
    "dots": Chart("Dots", "Two were read.", X, Y, (DOTS,)),
    "band": Chart("A band", "It widens.", X, Y, (BAND,)),
    "levels": Chart("Levels", "There are two.", X, Y, LEVELS),
    "mixed": Chart("All of them", "All is well.", X, Y, (BAND, LINE, DOTS, *LEVELS)),
    "bars": Chart("Bars", "One is low.", Axis("Wheel"), Axis("Force", "N", zero=True), (BARS,)),
    "lying": Chart(
        "Lying", "They grow.", Axis("Place"), Axis("Left", "mm"), (LONG, Level("Least", 2.0))
    ),
    "lying beside names": Chart(
        "Lying", "They grow.", Axis("Place"), Axis("Left", "mm"), (SHORT, Level("Least", 2.0))
    ),
    "square": Chart(
        "A disc", "It is round.", Axis("Across"), Axis("Along"), (LINE, DOTS), square=True
    ),
    "log": Chart(
        "Tenfolds",
        "It rises.",
        Axis("Time", "s", log=True),
        Axis("Insulation", "MΩ", log=True),
        (Line("Read", ((1.0, 0.02), (10.0, 0.3), (600.0, 20.0)), dots=True),),
    ),
    "roles": Chart(
        "Every role",
        "For comparison.",
        X,
        Y,
        tuple(
            Line(role, ((0.0, n), (5.0, n + 0.5)), role, dots=True) for n, role in enumerate(ROLES)
        ),
    ),
}
