"""Free play against 49 CFR 570.7(a) and the GB manual's figures; angle and path of the rim."""

from __future__ import annotations

import math
from collections.abc import Callable

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute import steering
from tests.reference import named, rows

PLAY = rows("steering_free_play")
VALUES = {row["quantity"]: row for row in rows("alignment")}
# Our own limits of diameter, so that the arithmetic stays in the range of real wheels.
diameters = st.floats(0.2, 0.7)
angles = st.floats(0, 1)


UNITS = pint.UnitRegistry()


def metres(value: float, unit: str) -> float:
    return float(UNITS.Quantity(value, unit).to("m").magnitude)


def limit_of(row: dict[str, str], diameter: float) -> steering.PlayLimit:
    if row["rule"] == "us":
        return steering.us_free_play(diameter)
    gears: dict[str, steering.Gear] = {"rack": "rack", "joints": "joints", "box": "box"}
    return steering.gb_free_play(diameter, gears[row["gear"]])


@pytest.mark.parametrize("row", PLAY, ids=lambda row: named(row, "rule", "gear", "diameter"))
def test_free_play_is_what_the_rule_prints(row: dict[str, str]) -> None:
    diameter, allowed = (metres(float(row[name]), row["unit"]) for name in ("diameter", "allowed"))

    found = limit_of(row, diameter)

    assert found.most == pytest.approx(allowed, rel=1e-12)
    assert found.reason.endswith(".")
    if row["degrees"]:
        own = math.degrees(steering.rim_angle(found.most, diameter))
        assert own == pytest.approx(float(row["degrees"]), abs=0.02)


def test_a_wheel_measured_to_the_millimetre_stands_in_its_row() -> None:
    assert steering.us_free_play(0.457).most == steering.us_free_play(18 * 0.0254).most
    assert steering.us_free_play(0.456).most == steering.us_free_play(16 * 0.0254).most


@given(smaller=diameters, larger=diameters)
def test_a_larger_wheel_is_never_allowed_less(smaller: float, larger: float) -> None:
    low, high = sorted((smaller, larger))
    assert steering.us_free_play(low).most <= steering.us_free_play(high).most
    assert steering.gb_free_play(low, "box").most <= steering.gb_free_play(high, "box").most


@given(diameter=diameters)
def test_no_wheel_is_allowed_more_than_the_british_figure(diameter: float) -> None:
    assert steering.gb_free_play(diameter, "rack").most <= 0.013


@given(angle=angles, diameter=diameters)
def test_the_way_of_the_rim_and_its_angle_lead_back_to_each_other(
    angle: float, diameter: float
) -> None:
    path = steering.rim_path(angle, diameter)
    assert steering.rim_angle(path, diameter) == pytest.approx(angle)


def test_linkage_play_is_a_quarter_of_an_inch() -> None:
    printed = float(VALUES["linkage play"]["result"])
    assert pytest.approx(metres(printed, "inch")) == steering.LINKAGE_PLAY


def test_the_ratio_leads_from_the_steering_wheel_to_the_road_wheels_and_back() -> None:
    row = VALUES["ratio"]
    road = steering.road_wheel_angle(float(row["first"]), float(row["second"]))

    assert road == pytest.approx(float(row["result"]), abs=float(row["tolerance"]))
    assert steering.steering_ratio(float(row["first"]), road) == pytest.approx(15.5)


@pytest.mark.parametrize("nonsense", [0.0, -0.4, math.nan, math.inf])
def test_it_refuses_a_wheel_that_cannot_be(nonsense: float) -> None:
    refusals: tuple[Callable[[], object], ...] = (
        lambda: steering.us_free_play(nonsense),
        lambda: steering.gb_free_play(nonsense, "rack"),
        lambda: steering.rim_angle(0.01, nonsense),
        lambda: steering.rim_path(0.01, nonsense),
        lambda: steering.steering_ratio(nonsense, 5.0),
        lambda: steering.road_wheel_angle(90.0, nonsense),
    )
    for refuse in refusals:
        with pytest.raises(ValueError, match="above nought"):
            refuse()
    with pytest.raises(ValueError, match="below nought"):
        steering.rim_angle(-0.01, 0.38)
