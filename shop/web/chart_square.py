"""A plot with both axes to one scale and no ticks: a disc seen from its face. Pure."""

from __future__ import annotations

import math

from shop.charting import Axis, Chart, Layer, Line
from shop.web.chart_frame import Frame
from shop.web.chart_marks import STAND_IN
from shop.web.chart_points import numbers
from shop.web.chart_scale import Scale
from shop.web.chart_size import Size
from shop.web.chart_vega import Spec, line_layer

_AIR = 1.08
_TURN = 90


def square_frame(chart: Chart, layers: list[Layer], size: Size) -> tuple[Frame, list[Spec]]:
    """The frame, as wide as high, and its guides: a circle with two diameters, unless a line of
    the role "soft" is the chart's own.

    The middle is that of an axis which gives both its ends; with guides it is nought where the
    points lie about it; else it is the middle of what is drawn.
    """
    across, up = numbers(layers)
    guided = not any(isinstance(layer, Line) and layer.role == "soft" for layer in layers)
    x, y = _middle(chart.x, across, guided), _middle(chart.y, up, guided)
    far = [abs(value - x) for value in across] + [abs(value - y) for value in up]
    reach = max(far, default=0.0)
    points = [p for layer in layers if isinstance(layer, Line) for p in layer.points]
    rim = max((math.hypot(px - x, py - y) for px, py in points), default=reach) or 1.0
    half = _half(chart, (max(reach, rim) if guided else reach) * _AIR or 1.0)
    side = size.square
    left = max(4.0, (size.width - side) / 2) if not size.beside else 4.0
    frame = Frame(
        size,
        Scale(x - half, x + half, (), 0),
        Scale(y - half, y + half, (), 0),
        side,
        side,
        left,
        size.width - side - left,
    )
    return frame, _guides(frame, (x, y), rim * (1 + _AIR) / 2) if guided else []


def _middle(axis: Axis, values: list[float], about_nought: bool) -> float:
    if axis.low is not None and axis.high is not None:
        return (axis.low + axis.high) / 2
    low, high = min(values, default=0.0), max(values, default=0.0)
    return 0.0 if about_nought and low <= 0 <= high else (low + high) / 2


def _half(chart: Chart, needed: float) -> float:
    """Half the width of the plot: between the ends that the axes give, else what is needed."""
    spans = [
        (axis.high - axis.low) / 2
        for axis in (chart.x, chart.y)
        if axis.low is not None and axis.high is not None
    ]
    return max(spans, default=needed)


def _guides(frame: Frame, middle: tuple[float, float], radius: float) -> list[Spec]:
    x, y = middle
    look: Spec = {"stroke": STAND_IN["rule"], "strokeWidth": 1}
    circle = [
        (x + radius * math.cos(turn), y + radius * math.sin(turn))
        for turn in (2 * math.pi * at / _TURN for at in range(_TURN + 1))
    ]
    return [
        line_layer("guide-across", [(x - radius, y), (x + radius, y)], frame.scales, look),
        line_layer("guide-up", [(x, y - radius), (x, y + radius)], frame.scales, look),
        line_layer("guide-rim", circle, frame.scales, {**look, "stroke": STAND_IN["edge"]}),
    ]
