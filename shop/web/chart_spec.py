"""A chart as a Vega-Lite specification, for a phone or for a desk. Pure.

A picture drawn once and scaled down to a phone would have words too small to read, so each chart is
drawn twice. At a desk names stand at the ends of their lines; on a phone, where there is no
room beside, they stand in a key above and levels are named on the plot.
"""

from __future__ import annotations

from shop.charting import Band, Bars, Chart, Dots, Layer, Level, Line
from shop.web.chart_bars import bars_spec
from shop.web.chart_frame import Drawn, Frame, axis_words, finished
from shop.web.chart_labels import width_of
from shop.web.chart_marks import STAND_IN, look_of
from shop.web.chart_names import OnThePlot, beside, room_beside, stands_beside
from shop.web.chart_points import numbers, usable
from shop.web.chart_scale import scale_of, with_air
from shop.web.chart_size import Size
from shop.web.chart_square import square_frame
from shop.web.chart_vega import (
    Spec,
    axis_of,
    band_layer,
    dots_layer,
    frame_layer,
    level_layer,
    line_layer,
    stroke,
    symbol,
)

MANY = 60
"""More dots than these are drawn small."""
_ORDER: tuple[type[Layer], ...] = (Band, Level, Line, Dots)


def spec_of(chart: Chart, size: Size) -> Spec:
    """The Vega-Lite specification of a chart at a size.

    Raises ValueError when there is nothing in it that could be drawn.
    """
    layers = usable(chart.layers)
    if not layers:
        raise ValueError("There is nothing in this chart that could be drawn.")
    if any(isinstance(layer, Bars) for layer in layers):
        return bars_spec(chart, layers, size)
    if chart.square:
        return _square(chart, layers, size)
    return _plotted(chart, layers, size)


def _plotted(chart: Chart, layers: list[Layer], size: Size) -> Spec:
    named = [layer for layer in layers if layer.name]
    right = [layer for layer in named if size.beside and stands_beside(layer)]
    frame = _frame(chart, layers, right, size)
    axes = (
        axis_of(frame.x, grid=False, font=frame.font, line=True),
        axis_of(frame.y, grid=True, font=frame.font, line=False),
    )
    marks = [frame_layer(*frame.scales, axes), *_marks(frame, layers)]
    names = beside(frame, right)
    left = [layer for layer in named if layer not in right]
    words, keyed = _on_the_plot(frame, layers, left)
    drawn = Drawn((*marks, *names.leaders), (*names.words, *words.words), keyed)
    over, under = axis_words(chart.y, frame.y), axis_words(chart.x, frame.x)
    return finished(frame, drawn, over=over, under=under, beneath=chart.beneath)


def _square(chart: Chart, layers: list[Layer], size: Size) -> Spec:
    frame, guides = square_frame(chart, layers, size)
    marks = [frame_layer(*frame.scales, (None, None)), *guides, *_marks(frame, layers)]
    words, keyed = _on_the_plot(frame, layers, [layer for layer in layers if layer.name])
    drawn = Drawn(tuple(marks), tuple(words.words), keyed)
    return finished(frame, drawn, over=chart.y.label, under=chart.x.label, ticks=False)


def _on_the_plot(
    frame: Frame, layers: list[Layer], named: list[Layer]
) -> tuple[OnThePlot, tuple[Layer, ...]]:
    """Levels and single dots are named where they are; what is left goes into the key."""
    words = OnThePlot(frame, layers)
    keyed: list[Layer] = []
    for layer in named:
        if isinstance(layer, Level):
            if frame_shows(frame, layer) and not words.level(layer):
                keyed.append(layer)
        elif not (isinstance(layer, Dots) and words.dots(layer)):
            keyed.append(layer)
    return words, tuple(keyed)


def frame_shows(frame: Frame, level: Level) -> bool:
    """Whether a level lies within the plot."""
    return (frame.y if level.axis == "y" else frame.x).shows(level.at)


def _frame(chart: Chart, layers: list[Layer], right: list[Layer], size: Size) -> Frame:
    across, up = numbers(layers)
    dotted = any(isinstance(one, Dots) or (isinstance(one, Line) and one.dots) for one in layers)
    x = scale_of(chart.x, with_air(chart.x, across) if dotted else across, most=size.across)
    y = scale_of(chart.y, with_air(chart.y, up), most=size.up)
    left = max((width_of(y.words(tick), size.font) for tick in y.ticks), default=20.0) + 8
    last = width_of(x.words(x.ticks[-1]), size.font) / 2 if x.ticks else 0.0
    side = max(10.0, last, room_beside(right, size.beside, size.font))
    return Frame(size, x, y, size.width - left - side, size.plot, left, side)


def _marks(frame: Frame, layers: list[Layer]) -> list[Spec]:
    ordered = sorted(enumerate(layers), key=lambda one: _ORDER.index(type(one[1])))
    return [spec for at, layer in ordered for spec in _mark(frame, at, layer)]


def _mark(frame: Frame, at: int, layer: Layer) -> list[Spec]:
    if isinstance(layer, Band):
        return _band(frame, at, layer)
    if isinstance(layer, Level):
        if not frame_shows(frame, layer):
            return []
        scale, length = (frame.y, frame.width) if layer.axis == "y" else (frame.x, frame.height)
        look = stroke(layer.role, look_of(layer.role))
        return [level_layer(f"level-{at}", layer.at, scale, layer.axis, length, look)]
    if isinstance(layer, Line):
        look = stroke(layer.role, look_of(layer.role, dashed=layer.dashed))
        line = line_layer(f"line-{at}", layer.points, frame.scales, look)
        return [line, *(_dots(frame, at, layer) if layer.dots else [])]
    return _dots(frame, at, layer) if isinstance(layer, Dots) else []


def _band(frame: Frame, at: int, layer: Band) -> list[Spec]:
    edge: Spec = {"stroke": STAND_IN[layer.role], "strokeWidth": 1}
    low = [(x, low) for x, low, _ in layer.points]
    high = [(x, high) for x, _, high in layer.points]
    return [
        band_layer(f"band-{at}", layer.points, frame.scales, layer.role),
        line_layer(f"band-{at}-lower", low, frame.scales, edge),
        line_layer(f"band-{at}-upper", high, frame.scales, edge),
    ]


def _dots(frame: Frame, at: int, layer: Line | Dots) -> list[Spec]:
    seen = [point for point in layer.points if frame.shows(*point)]
    mark = symbol(layer.role, look_of(layer.role), share=1.0 if len(seen) <= MANY else 0.3)
    return [dots_layer(f"dots-{at}", seen, frame.scales, mark)]
