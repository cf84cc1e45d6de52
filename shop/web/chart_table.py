"""The numbers of a chart as a table, for when it brings none and cannot be drawn. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from shop.charting import Band, Bars, Chart, Layer, Level, Table
from shop.units import format_number
from shop.web.chart_points import usable

_Point = TypeVar("_Point")
MOST = 12
"""Of each line so many points are listed, evenly chosen."""


def table_of(chart: Chart) -> Table:
    """Every layer of a chart with its numbers; of a long line only some of them."""
    rows: list[tuple[str, ...]] = []
    for layer in usable(chart.layers):
        rows += [(layer.name or "–", *numbers) for numbers in _rows(layer)]
    return Table(chart.title, ("", chart.x.title, chart.y.title), tuple(rows))


def _rows(layer: Layer) -> list[tuple[str, str]]:
    if isinstance(layer, Level):
        at = format_number(layer.at)
        return [("", at) if layer.axis == "y" else (at, "")]
    if isinstance(layer, Bars):
        if len(layer.limits) < len(layer.bars):
            return [(name, format_number(value)) for name, value in layer.bars]
        return [
            (name, f"{format_number(value)} ({format_number(low)} – {format_number(high)})")
            for (name, value), (low, high) in zip(layer.bars, layer.limits, strict=True)
        ]
    if isinstance(layer, Band):
        some = _some(layer.points)
        return [(format_number(x), f"{format_number(a)} – {format_number(b)}") for x, a, b in some]
    return [(format_number(x), format_number(y)) for x, y in _some(layer.points)]


def _some(points: Sequence[_Point]) -> list[_Point]:
    if len(points) <= MOST:
        return list(points)
    return [points[round(at * (len(points) - 1) / (MOST - 1))] for at in range(MOST)]
