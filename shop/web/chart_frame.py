"""The plot within a drawing: its scales, its measures, and the words around it. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from shop.charting import Axis, Beneath, Layer
from shop.web.chart_key import key_of
from shop.web.chart_labels import LINE_HEIGHT, Box, width_of, wrapped
from shop.web.chart_scale import Scale
from shop.web.chart_size import Size
from shop.web.chart_vega import Spec, Word, stacked, whole, words_layers


@dataclass(frozen=True, slots=True)
class Frame:
    """Pixels count from the upper left corner of the plot; left and right: room beside it."""

    size: Size
    x: Scale
    y: Scale
    width: float
    height: float
    left: float
    right: float

    @property
    def font(self) -> float:
        return self.size.font

    @property
    def step(self) -> float:
        """The height of a line of words."""
        return self.size.font * LINE_HEIGHT

    @property
    def scales(self) -> tuple[Scale, Scale]:
        return self.x, self.y

    @property
    def box(self) -> Box:
        return Box(0, 0, self.width, self.height)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the chart lies on the drawing."""
        return self.across(x), self.up(y)

    def across(self, x: float) -> float:
        """How far from the left a value lies."""
        return self.x.share(x) * self.width

    def up(self, y: float) -> float:
        """How far from the top a value lies."""
        return (1 - self.y.share(y)) * self.height

    def shows(self, x: float, y: float) -> bool:
        """Whether a point of the chart lies within the plot."""
        return self.x.shows(x) and self.y.shows(y)


@dataclass(frozen=True, slots=True)
class Drawn:
    """What stands on and beside the plot, and which layers are left for the key."""

    marks: tuple[Spec, ...]
    words: tuple[Word, ...]
    keyed: tuple[Layer, ...] = ()


def _beneath(frame: Frame, row: Beneath, top: float) -> list[Word]:
    """The name of the row, and under it its words, each at its place as far as they fit."""
    start, middle = 2 - frame.left, frame.height + top + frame.step / 2
    words = [Word(row.name, start, middle, frame.font)]
    reach = start
    for at, text in row.words:
        half = width_of(text, frame.font) / 2
        x = frame.across(at)
        if frame.x.shows(at) and x - half >= reach and x + half <= frame.width + frame.right:
            words.append(Word(text, x, middle + frame.step + 2, frame.font, "center", "ink"))
            reach = x + half + 8
    return words


def axis_words(axis: Axis, scale: Scale) -> str:
    """The title of an axis; a logarithmic one says so."""
    return f"{axis.title} (each tenfold equally wide)" if scale.log else axis.title


def finished(
    frame: Frame,
    drawn: Drawn,
    *,
    over: str,
    under: str,
    ticks: bool = True,
    beneath: Beneath | None = None,
) -> Spec:
    """The whole drawing: the key on top, `over` above the plot, `under` below its axis.

    ticks: whether numbers stand along the lower edge. beneath: a row of words under all that.
    """
    room = frame.size.width - 4
    start = 2 - frame.left
    words = list(drawn.words)
    above = wrapped(over, room, frame.font, most=2)
    reach = frame.step * len(above) + 10 if above else 8.0
    words += stacked(above, start, -reach + frame.step * len(above) / 2, frame.font)
    height = key_of(drawn.keyed, left=start, top=0, room=room, font=frame.font).height
    top = reach + (height + 8 if height else 0.0) + 2
    key = key_of(drawn.keyed, left=start, top=2 - top, room=room, font=frame.font)
    below = wrapped(under, frame.size.width - 8, frame.font, most=2)
    bottom = frame.step + 12 if ticks else 8.0
    middle = frame.height + bottom + frame.step * len(below) / 2
    words += stacked(below, frame.width, middle, frame.font, align="right")
    bottom += frame.step * len(below) + (4 if below else 0)
    if beneath:
        words += _beneath(frame, beneath, bottom)
        bottom += frame.step * 2 + 6
    padding = {"left": frame.left, "right": frame.right, "top": top, "bottom": bottom}
    layers = [*drawn.marks, *key.layers, *words_layers([*words, *key.words])]
    return whole((frame.width, frame.height), padding, layers)
