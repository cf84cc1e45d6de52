"""The few marks from which every chart is put together, as Vega-Lite layers. Pure.

Numbers of the chart go through its scales; words, swatches and leaders are set in pixels of the
plot (x from its left edge, y from its top). Names never become names of fields: they are only ever
the text of a text mark.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from shop.web.chart_labels import LINE_HEIGHT, Align
from shop.web.chart_marks import STAND_IN, Look
from shop.web.chart_scale import Scale

Spec = dict[str, Any]
FONTS = "Gill Sans Nova, Ubuntu, DejaVu Sans, Liberation Sans, sans-serif"
_SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"


@dataclass(frozen=True, slots=True)
class Word:
    """One line of text with its middle at `y`. halo: it lies on marks and keeps clear of them."""

    text: str
    x: float
    y: float
    font: float
    align: Align = "left"
    colour: str = "words"
    bold: bool = False
    halo: bool = False


def stacked(lines: Sequence[str], x: float, middle: float, font: float, **how: Any) -> list[Word]:
    """Lines under each other, the middle of them all at `middle`; `how` as in Word."""
    step = font * LINE_HEIGHT
    first = middle - step * (len(lines) - 1) / 2
    return [Word(text, x, first + step * at, font, **how) for at, text in enumerate(lines)]


def plain_words(text: str) -> str:
    """A text without control letters, which neither print nor stand in an SVG."""
    return "".join(letter for letter in text if unicodedata.category(letter)[0] != "C")


def channel(scale: Scale, field: str, axis: Spec | None = None) -> Spec:
    """A field against a scale; every layer says the whole domain, so that none can widen it."""
    return {"field": field, "type": "quantitative", "scale": _domain(scale), "axis": axis}


def axis_of(scale: Scale, *, grid: bool, font: float, line: bool) -> Spec:
    """Ticks at the scale's own places, thin gridlines, numbers as the product writes them."""
    return {
        "values": list(scale.ticks),
        "labelExpr": _label_words(scale),
        "title": None,
        "grid": grid,
        "gridColor": STAND_IN["rule"],
        "gridWidth": 1,
        "domain": line,
        "domainColor": STAND_IN["edge"],
        "ticks": line,
        "tickColor": STAND_IN["edge"],
        "tickSize": 4,
        "tickRound": False,
        "labelColor": STAND_IN["words"],
        "labelFontSize": font,
        "labelPadding": 4 if line else 6,
        "labelOverlap": False,
        "labelFlush": False,
        "labelBound": False,
        "labelLimit": 0,
    }


def _label_words(scale: Scale) -> str:
    """The words of the ticks by their order. They are digits, signs and spaces, nothing typed."""
    words = ", ".join(f"'{scale.words(tick)}'" for tick in scale.ticks)
    # `index` runs from 0 to 1 over the ticks.
    return f"[{words}][round(datum.index * {max(1, len(scale.ticks) - 1)})]"


def frame_layer(x: Scale, y: Scale, axes: tuple[Spec | None, Spec | None]) -> Spec:
    """Draws nothing; carries the axes, and holds them though a chart has no points."""
    corner = [{"x": x.low, "y": y.low}]
    return {
        "name": "frame",
        "data": {"values": corner},
        "mark": {"type": "point", "size": 0, "opacity": 0},
        "encoding": {"x": channel(x, "x", axes[0]), "y": channel(y, "y", axes[1])},
    }


def line_layer(
    name: str, points: Sequence[tuple[float, float]], scales: tuple[Scale, Scale], spec: Spec
) -> Spec:
    """A line through points in their own order; `spec` adds to the mark."""
    values = [{"i": at, "x": x, "y": y} for at, (x, y) in enumerate(points)]
    x, y = scales
    return {
        "name": name,
        "data": {"values": values},
        "mark": {"type": "line", "clip": True, "strokeJoin": "round", **spec},
        "encoding": {
            "x": channel(x, "x"),
            "y": channel(y, "y"),
            "order": {"field": "i", "type": "quantitative"},
        },
    }


def stroke(colour: str, look: Look) -> Spec:
    """The properties of a line of a role."""
    drawn: Spec = {"stroke": STAND_IN[colour], "strokeWidth": look.width}
    if look.dash:
        drawn["strokeDash"] = list(look.dash)
    return drawn


def symbol(colour: str, look: Look, *, share: float = 1.0) -> Spec:
    """The properties of a separate mark of a role, at `share` of its size."""
    ground, ink = STAND_IN["ground"], STAND_IN[colour]
    return {
        "type": "point",
        "shape": look.shape,
        "size": look.size * share,
        "fill": ground if look.hollow else ink,
        # A rim in the colour of the ground keeps marks apart that lie on each other.
        "stroke": ink if look.hollow else ground,
        "strokeWidth": 1.5 if look.hollow else 1.0 if share > 0.5 else 0.5,
        "opacity": 1,
    }


def dots_layer(
    name: str, points: Sequence[tuple[float, float]], scales: tuple[Scale, Scale], spec: Spec
) -> Spec:
    """Separate marks; `spec` is the whole mark."""
    x, y = scales
    return {
        "name": name,
        "data": {"values": [{"x": across, "y": up} for across, up in points]},
        "mark": spec,
        "encoding": {"x": channel(x, "x"), "y": channel(y, "y")},
    }


def band_layer(
    name: str,
    points: Sequence[tuple[float, float, float]],
    scales: tuple[Scale, Scale],
    colour: str,
) -> Spec:
    """The ground between two lines, lightly tinted."""
    x, y = scales
    return {
        "name": name,
        "data": {"values": [{"x": at, "low": low, "high": high} for at, low, high in points]},
        "mark": {"type": "area", "clip": True, "color": STAND_IN[colour], "fillOpacity": 0.12},
        "encoding": {
            "x": channel(x, "x"),
            "y": channel(y, "low"),
            "y2": {"field": "high"},
        },
    }


def bar_layer(
    name: str,
    bars: Sequence[tuple[float, float, float]],
    scales: tuple[Scale, Scale],
    spec: Spec,
    *,
    upright: bool,
) -> Spec:
    """Bars (place, foot, value) of one look; `spec` adds to the mark."""
    x, y = scales
    places, values = (x, y) if upright else (y, x)
    data = [{"place": place, "foot": foot, "value": value} for place, foot, value in bars]
    along, across = ("y", "x") if upright else ("x", "y")
    return {
        "name": name,
        "data": {"values": data},
        "mark": {
            "type": "bar",
            "orient": "vertical" if upright else "horizontal",
            "clip": True,
            **spec,
        },
        "encoding": {
            across: channel(places, "place"),
            along: channel(values, "value") | {"stack": None},
            f"{along}2": {"field": "foot"},
        },
    }


def level_layer(name: str, at: float, scale: Scale, axis: str, length: float, look: Spec) -> Spec:
    """A rule across the whole plot at one value of an axis."""
    value = {"datum": at, "type": "quantitative", "scale": _domain(scale), "axis": None}
    if axis == "y":
        where: Spec = {"y": value, "x": {"value": 0}, "x2": {"value": length}}
    else:
        where = {"x": value, "y": {"value": 0}, "y2": {"value": length}}
    return {
        "name": name,
        "data": {"values": [{}]},
        "mark": {"type": "rule", **look},
        "encoding": where,
    }


def words_layers(words: Sequence[Word]) -> list[Spec]:
    """Texts by their look, so that there are few layers; halos lie under all of them."""
    halos: dict[tuple[Any, ...], list[Word]] = {}
    plain: dict[tuple[Any, ...], list[Word]] = {}
    for word in words:
        kind = (word.align, word.colour, word.bold, word.font)
        plain.setdefault(kind, []).append(word)
        if word.halo:
            halos.setdefault((word.align, "ground", word.bold, word.font), []).append(word)
    return [
        *(
            _text(f"halo-{at}", kind, some, halo=True)
            for at, (kind, some) in enumerate(halos.items())
        ),
        *(_text(f"words-{at}", kind, some) for at, (kind, some) in enumerate(plain.items())),
    ]


def _text(name: str, kind: tuple[Any, ...], words: list[Word], *, halo: bool = False) -> Spec:
    align, colour, bold, font = kind
    ink = STAND_IN[colour]
    mark: Spec = {
        "type": "text",
        "align": align,
        "baseline": "middle",
        "fontSize": font,
        "fontWeight": 600 if bold else 400,
        "color": ink,
        "limit": 0,
    }
    if halo:
        mark |= {"stroke": ink, "strokeWidth": 4, "strokeJoin": "round"}
    values = [{"x": word.x, "y": word.y, "t": plain_words(word.text)} for word in words]
    at = {"x": _pixels("x"), "y": _pixels("y"), "text": {"field": "t", "type": "nominal"}}
    return {"name": name, "data": {"values": values}, "mark": mark, "encoding": at}


def leader_layer(
    name: str, start: tuple[float, float], end: tuple[float, float], look: Spec
) -> Spec:
    """A straight line between two places in pixels."""
    values = [{"x": start[0], "y": start[1], "x2": end[0], "y2": end[1]}]
    at = {"x": _pixels("x"), "y": _pixels("y"), "x2": {"field": "x2"}, "y2": {"field": "y2"}}
    return {
        "name": name,
        "data": {"values": values},
        "mark": {"type": "rule", **look},
        "encoding": at,
    }


def swatch_layer(name: str, x: float, y: float, spec: Spec) -> Spec:
    """One mark at a place in pixels."""
    at = {"x": _pixels("x"), "y": _pixels("y")}
    return {"name": name, "data": {"values": [{"x": x, "y": y}]}, "mark": spec, "encoding": at}


def whole(size: tuple[float, float], padding: Spec, layers: Sequence[Spec]) -> Spec:
    """The specification of a drawing whose plot measures `size` inside of `padding`."""
    return {
        "$schema": _SCHEMA,
        "width": size[0],
        "height": size[1],
        "padding": padding,
        "autosize": {"type": "none"},
        "background": None,
        "config": {
            "aria": False,
            "font": FONTS,
            "view": {"stroke": None},
            "axis": {"translate": 0},
        },
        # The axes belong to the frame alone; the other layers share its scales.
        "resolve": {"axis": {"x": "independent", "y": "independent"}},
        "layer": list(layers),
    }


def _domain(scale: Scale) -> Spec:
    kind = "log" if scale.log else "linear"
    drawn: Spec = {"type": kind, "domain": [scale.low, scale.high], "nice": False, "padding": 0}
    return drawn if scale.log else drawn | {"zero": False}


def _pixels(field: str) -> Spec:
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}
