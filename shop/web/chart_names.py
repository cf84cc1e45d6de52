"""The names of what is on a plot: at the end of a line, beside a dot, along a level. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shop.charting import Band, Dots, Layer, Level, Line
from shop.web.chart_frame import Frame
from shop.web.chart_labels import Align, Box, along, place, spread, width_of, wrapped
from shop.web.chart_marks import STAND_IN
from shop.web.chart_vega import Spec, Word, leader_layer, stacked

FEW = 3
"""Up to so many dots are named beside one of them; more are named in the key."""
_GAP = 14.0


@dataclass(frozen=True, slots=True)
class Names:
    leaders: tuple[Spec, ...]
    words: tuple[Word, ...]


def stands_beside(layer: Layer) -> bool:
    """Whether a layer ends at the right of the plot, so that its name may stand there."""
    return isinstance(layer, Line | Band) or (isinstance(layer, Level) and layer.axis == "y")


def room_beside(layers: Iterable[Layer], room: float, font: float) -> float:
    """How much of `room` the names of the layers need, with the gap before them."""
    lines = [line for layer in layers for line in wrapped(layer.name, room, font, bold=True)]
    return max((width_of(line, font, bold=True) + _GAP + 4 for line in lines), default=0.0)


def beside(frame: Frame, layers: Sequence[Layer]) -> Names:
    """The names at the right, each as near to where its mark ends as the others let it."""
    room = frame.right - _GAP - 3
    ends = [(layer, end) for layer in layers if (end := _end_of(frame, layer)) is not None]
    lines = [wrapped(layer.name, room, frame.font, bold=True) for layer, _ in ends]
    wanted = [
        (end[1], frame.step * len(some) + 3) for (_, end), some in zip(ends, lines, strict=True)
    ]
    middles = spread(wanted, -frame.step / 2, frame.height + frame.step / 2)
    leaders: list[Spec] = []
    words: list[Word] = []
    for at, ((layer, (x, y)), middle) in enumerate(zip(ends, middles, strict=True)):
        if abs(middle - y) > 4 or x < frame.width - 8:
            look = {"stroke": STAND_IN[_role(layer)], "strokeWidth": 1, "strokeDash": [1, 2]}
            start = (min(x + 3, frame.width + 2), y)
            leaders.append(
                leader_layer(f"leader-{at}", start, (frame.width + _GAP - 3, middle), look)
            )
        colour = _role(layer)
        words += stacked(
            lines[at], frame.width + _GAP, middle, frame.font, colour=colour, bold=True
        )
    return Names(tuple(leaders), tuple(words))


def _role(layer: Layer) -> str:
    return "value" if not isinstance(layer, Line | Dots | Band | Level) else layer.role


def _end_of(frame: Frame, layer: Layer) -> tuple[float, float] | None:
    """Where a mark ends at the right, in pixels; None for a level that is not in view."""
    if isinstance(layer, Level):
        return (frame.width, frame.up(layer.at)) if frame.y.shows(layer.at) else None
    if isinstance(layer, Band):
        x, low, high = max(layer.points, key=lambda point: point[0])
        middle = (frame.up(_kept(frame, low)) + frame.up(_kept(frame, high))) / 2
        return min(frame.across(x), frame.width), middle
    if not isinstance(layer, Line):
        return None
    seen = [point for point in layer.points if frame.shows(*point)] or list(layer.points[-1:])
    x, y = max(seen, key=lambda point: point[0])
    return min(frame.across(x), frame.width), frame.up(_kept(frame, y))


def _kept(frame: Frame, y: float) -> float:
    return min(max(y, frame.y.low), frame.y.high)


def under_way(frame: Frame, layers: Iterable[Layer]) -> list[tuple[float, float]]:
    """Pixels that marks cover, so that names keep off them."""
    covered: list[tuple[float, float]] = []
    for layer in layers:
        if isinstance(layer, Line):
            covered += along(_in_view(frame, layer.points))
        elif isinstance(layer, Dots):
            covered += [frame.at(*point) for point in layer.points if frame.shows(*point)] * 4
        elif isinstance(layer, Level) and layer.axis == "y" and frame.y.shows(layer.at):
            y = frame.up(layer.at)
            covered += along([(0.0, y), (frame.width, y)])
        elif isinstance(layer, Level) and layer.axis == "x" and frame.x.shows(layer.at):
            x = frame.across(layer.at)
            covered += along([(x, 0.0), (x, frame.height)])
    return covered


def _in_view(frame: Frame, points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    ends = {at for at, pair in enumerate(pairwise(points)) if any(frame.shows(*p) for p in pair)}
    return [frame.at(x, _kept(frame, y)) for at, (x, y) in enumerate(points) if {at, at - 1} & ends]


class OnThePlot:
    """Names one thing after another on the plot itself, none over another."""

    def __init__(self, frame: Frame, layers: Sequence[Layer]) -> None:
        self.frame = frame
        self.covered = under_way(frame, layers)
        self.taken: list[Box] = []
        self.words: list[Word] = []

    def level(self, layer: Level) -> bool:
        """Along a level, above or below it, at that end where it covers least; False when every
        place is full of marks."""
        frame = self.frame
        lines = wrapped(layer.name, frame.width * 0.9, frame.font, most=2, bold=True)
        wide, high = self._measure(lines)
        if layer.axis == "y":
            y = frame.up(layer.at)
            lefts: dict[Align, float] = {
                "right": frame.width - wide - 4,
                "left": 4.0,
                "center": (frame.width - wide) / 2,
            }
            tops = [y - high - 2, y + 3]
            boxes = [
                Box(left, top, wide, high, align) for align, left in lefts.items() for top in tops
            ]
        else:
            x = frame.across(layer.at)
            tops = [2.0, 4 + high, 6 + 2 * high, frame.height - high - 4]
            boxes = []
            for top in tops:
                boxes.append(Box(x + 5, top, wide, high))
                boxes.append(Box(x - wide - 5, top, wide, high, "right"))
        return self._put(boxes, lines, layer.role)

    def dots(self, layer: Dots) -> bool:
        """Beside one of a few dots; False when there are many, or no room at any."""
        frame = self.frame
        seen = [frame.at(*point) for point in layer.points if frame.shows(*point)]
        if not 0 < len(seen) <= FEW:
            return False
        lines = wrapped(layer.name, frame.width * 0.5, frame.font, most=2, bold=True)
        wide, high = self._measure(lines)
        boxes = []
        for x, y in reversed(seen):
            boxes += [
                Box(x + 9, y - high / 2, wide, high),
                Box(x - 9 - wide, y - high / 2, wide, high, "right"),
                Box(x - wide / 2, y - 9 - high, wide, high, "center"),
                Box(x - wide / 2, y + 9, wide, high, "center"),
            ]
        return self._put(boxes, lines, layer.role)

    def _measure(self, lines: Sequence[str]) -> tuple[float, float]:
        wide = max(width_of(line, self.frame.font, bold=True) for line in lines)
        return wide, self.frame.step * len(lines)

    def _put(self, boxes: Sequence[Box], lines: Sequence[str], role: str) -> bool:
        box = place(boxes, self.frame.box, self.covered, self.taken)
        if box is None:
            return False
        middle = box.top + box.height / 2
        how = {"colour": role, "bold": True, "halo": True, "align": box.align}
        self.words += stacked(lines, box.anchor, middle, self.frame.font, **how)
        return True
