"""The key of a chart: a sample of each mark and its name, in rows above the plot. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shop.charting import Band, Dots, Layer, Level, Line
from shop.web.chart_labels import LINE_HEIGHT, width_of, wrapped
from shop.web.chart_marks import STAND_IN, look_of
from shop.web.chart_vega import Spec, Word, leader_layer, stacked, stroke, swatch_layer, symbol

_SAMPLE, _GAP, _BETWEEN = 26.0, 7.0, 18.0
_AIR = 5.0


@dataclass(frozen=True, slots=True)
class Key:
    """What is drawn, and how high it stands; y counts down from the key's own top."""

    layers: tuple[Spec, ...]
    words: tuple[Word, ...]
    height: float


def key_of(entries: Sequence[Layer], *, left: float, top: float, room: float, font: float) -> Key:
    """The key of `entries` in rows of `room` pixels, its corner at (left, top) of the plot."""
    layers: list[Spec] = []
    words: list[Word] = []
    step = font * LINE_HEIGHT
    x, y, row = left, top, 0.0
    for at, entry in enumerate(entries):
        lines = wrapped(entry.name, room - _SAMPLE - _GAP, font, most=2)
        wide = _SAMPLE + _GAP + max(width_of(line, font) for line in lines)
        if x > left and x + wide > left + room:
            x, y, row = left, y + row + _AIR, 0.0
        layers += _sample(f"key-{at}", entry, x, y + step / 2)
        middle = y + step * len(lines) / 2
        words += stacked(lines, x + _SAMPLE + _GAP, middle, font, colour="ink")
        row = max(row, step * len(lines))
        x += wide + _BETWEEN
    return Key(tuple(layers), tuple(words), y + row - top if entries else 0.0)


def _sample(name: str, entry: Layer, x: float, y: float) -> list[Spec]:
    if isinstance(entry, Band):
        colour = STAND_IN[entry.role]
        box: Spec = {"type": "point", "shape": "M-1,-.4L1,-.4L1,.4L-1,.4Z", "size": _SAMPLE**2}
        box |= {"fill": colour, "fillOpacity": 0.12, "strokeWidth": 0, "opacity": 1}
        edge = {"stroke": colour, "strokeWidth": 1}
        half = _SAMPLE * 0.2
        return [
            swatch_layer(name, x + _SAMPLE / 2, y, box),
            leader_layer(f"{name}-upper", (x, y - half), (x + _SAMPLE, y - half), edge),
            leader_layer(f"{name}-lower", (x, y + half), (x + _SAMPLE, y + half), edge),
        ]
    drawn: list[Spec] = []
    if isinstance(entry, Line | Level):
        look = look_of(entry.role, dashed=isinstance(entry, Line) and entry.dashed)
        drawn.append(leader_layer(name, (x, y), (x + _SAMPLE, y), stroke(entry.role, look)))
    if isinstance(entry, Dots) or (isinstance(entry, Line) and entry.dots):
        mark = symbol(entry.role, look_of(entry.role))
        drawn.append(swatch_layer(f"{name}-mark", x + _SAMPLE / 2, y, mark))
    return drawn
