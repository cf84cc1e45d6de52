"""How far a bar's value is known, and the row of words under a plot."""

from __future__ import annotations

import math
from typing import Any

import pytest

from shop.charting import Axis, Bars, Beneath, Chart, Line
from shop.units import format_number
from shop.web.chart_size import NARROW, WIDE, Size
from shop.web.chart_spec import spec_of
from shop.web.chart_table import table_of


def _rates(*limits: tuple[float, float], name: str = "hub and sensor, both axles") -> Chart:
    bars = Bars("rates", ((name, 2.0), (name, 0.0)), limits=limits)
    return Chart("Rates", "Two rates.", Axis("Component"), Axis("Rate", zero=True), (bars,))


def _layers(chart: Chart, size: Size) -> dict[str, Any]:
    return {layer["name"]: layer for layer in spec_of(chart, size)["layer"]}


def _texts(chart: Chart, size: Size) -> list[str]:
    found = [
        v
        for n, one in _layers(chart, size).items()
        if n.startswith("words")
        for v in one["data"]["values"]
    ]
    return [value["t"] for value in found]


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize("name", ["a", "hub and sensor, both axles of a long van"])
def test_limits_are_drawn_within_the_plot_from_low_to_high(name: str, size: Size) -> None:
    layers = _layers(_rates((1.0, 6.0), (0.0, 3.0), name=name), size)
    [first] = layers["limits-0-ink"]["data"]["values"]
    [other] = layers["limits-1-ink"]["data"]["values"]
    along = ("x", "x2") if first["y"] == first["y2"] else ("y", "y2")
    lengths = [abs(one[along[1]] - one[along[0]]) for one in (first, other)]
    assert lengths[0] / lengths[1] == pytest.approx(5 / 3)
    plot = spec_of(_rates((1.0, 6.0), (0.0, 3.0), name=name), size)
    for one in (first, other):
        assert 0 <= one["x"] <= one["x2"] <= plot["width"]
        assert 0 <= one["y2"] <= one["y"] <= plot["height"]


def test_bars_without_limits_have_none() -> None:
    assert not [name for name in _layers(_rates(), WIDE) if name.startswith("limits")]


def test_a_limit_that_is_no_number_takes_all_limits_away() -> None:
    """Half of them drawn would make the others look sure."""
    chart = _rates((1.0, math.inf), (0.0, 3.0))
    assert not [name for name in _layers(chart, WIDE) if name.startswith("limits")]


def test_the_table_says_the_limits() -> None:
    assert table_of(_rates((1.0, 6.0), (0.0, 3.5))).rows[0][2] == "2 (1 – 6)"


@pytest.mark.parametrize("size", [NARROW, WIDE])
def test_the_row_beneath_stands_under_its_places_and_within_the_drawing(size: Size) -> None:
    row = Beneath("At risk", ((0.0, "412"), (12.0, "301"), (24.0, "44"), (99.0, "1")))
    points = tuple((float(at), 100.0 - at) for at in range(25))
    chart = Chart("S", "Falls.", Axis("Age"), Axis("Sound"), (Line("", points),), beneath=row)
    texts = _texts(chart, size)
    assert "At risk" in texts
    assert {"412", "301", "44"} <= set(texts)
    assert "1" not in texts  # it lies beyond the plot
    bare = spec_of(Chart("S", "Falls.", Axis("Age"), Axis("Sound"), (Line("", points),)), size)
    assert spec_of(chart, size)["padding"]["bottom"] > bare["padding"]["bottom"] + 20


@pytest.mark.parametrize("lowest", [1.0, -3.0])
def test_names_beside_lying_bars_make_a_wide_drawing_half_as_high(lowest: float) -> None:
    """A name stands level with the middle of its bar, to the left of all that is drawn of it."""
    bars = tuple((f"Hub and its sensor {n:02}", lowest + n) for n in range(14))
    chart = Chart("S", "Rates.", Axis("Place"), Axis("Rate", zero=True), (Bars("", bars),))
    wide, narrow = spec_of(chart, WIDE), spec_of(chart, NARROW)
    assert wide["height"] < 0.6 * narrow["height"]
    words = {
        value["t"]: value
        for name, one in _layers(chart, WIDE).items()
        if name.startswith("words")
        for value in one["data"]["values"]
    }
    values = [words[format_number(value)] for _, value in bars]
    for (name, _), value in zip(bars, values, strict=True):
        assert words[name]["y"] == pytest.approx(value["y"])
        assert words[name]["x"] < min(0.0, *(one["x"] for one in values)) - 7


def test_words_beneath_that_would_touch_are_left_out() -> None:
    row = Beneath("At risk", tuple((float(at), "10 412") for at in range(25)))
    points = tuple((float(at), 100.0 - at) for at in range(25))
    chart = Chart("S", "Falls.", Axis("Age"), Axis("Sound"), (Line("", points),), beneath=row)
    assert 3 < _texts(chart, NARROW).count("10 412") < 12
