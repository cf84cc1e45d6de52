"""Life of linings as it is typed: the range, what is not determinable yet, and refusals."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from diagnostics.measurements.known import Known, KnownFigure
from diagnostics.measurements.lining_life import LINING_LIFE
from shop.charting import Band, Level
from tests.diagnostics.measurements.brakes_typed import (
    Typed,
    at_least,
    figure,
    refusal,
    says,
    tones,
    worked,
)

KNOWN = Known(
    position="LF",
    limits={"lining_thickness": at_least(0.002, "mm")},
    figures={"lining_new": KnownFigure(0.012, "mm", "demo figure")},
    today=date(2026, 11, 25),
)


def _typed(**other: str) -> Typed:
    usual = {
        "before": "10.0",
        "odometer_before": "48213",
        "day_before": "2025-11-25",
        "now": "7.0",
        "odometer_now": "66213",
    }
    return usual | other


def test_it_tells_the_distance_its_range_the_wear_and_the_month() -> None:
    found = worked(LINING_LIFE, _typed(uncertainty="0.1"), KNOWN)

    # (7 - 2) / 3 of 18 000 km.
    assert figure(found, "lining_distance_left").value == pytest.approx(30_000_000)
    assert figure(found, "lining_wear_10000km").value * 1000 == pytest.approx(3 / 1.8)
    assert "about 30 000 km are left" in says(found)
    # 18 000 km in 365 days: 30 000 km more are 608 days.
    assert "between June 2028 and September 2028" in says(found)
    assert tones(found) == ["good"]
    kept = [one.quantity for one in found.figures if one.keep]
    assert kept == ["lining_thickness"]
    assert figure(found, "lining_thickness").allowed is None


def test_the_fan_is_as_wide_as_the_gauge_at_the_second_measurement_and_opens() -> None:
    found = worked(LINING_LIFE, _typed(uncertainty="0.1"), KNOWN)
    layers = found.charts[0].layers
    (fan,) = [layer for layer in layers if isinstance(layer, Band)]
    widths = [high - low for _x, low, high in fan.points if low > 0]
    assert widths[0] == pytest.approx(0.2)
    assert widths == sorted(widths)
    assert [layer.at for layer in layers if isinstance(layer, Level)] == [2.0]


def test_too_short_a_distance_is_not_determinable_yet_and_says_how_far_it_takes() -> None:
    found = worked(LINING_LIFE, _typed(now="9.9", odometer_now="50213", uncertainty="0.1"), KNOWN)

    assert found.says.startswith("Not determinable yet")
    assert "about 5660 km in all, 3660 km more" in says(found)
    assert tones(found) == ["unknown"]
    assert [one.quantity for one in found.figures] == ["lining_thickness"]


def test_no_wear_at_all_is_not_determinable_yet_either() -> None:
    found = worked(LINING_LIFE, _typed(now="10.0", uncertainty="0.1"), KNOWN)
    assert "Even at the fastest wear" in says(found)
    perfect = worked(LINING_LIFE, _typed(now="10.0", uncertainty="0"), KNOWN)
    assert "after a good distance" in says(perfect)


def test_a_lining_that_grew_is_refused_beside_its_field() -> None:
    found = refusal(LINING_LIFE, _typed(now="10.4", uncertainty="0.1"), KNOWN)
    assert "grew by 0.40" in found["now"]
    assert worked(LINING_LIFE, _typed(), KNOWN).figures


def test_below_its_minimum_nothing_is_left() -> None:
    found = worked(LINING_LIFE, _typed(now="1.8"), KNOWN)
    assert figure(found, "lining_distance_left").value == 0
    assert tones(found)[0] == "bad"
    assert "should not be driven on" in says(found)


@pytest.mark.parametrize(("now", "dangerous"), [("1.5", False), ("1.49", True)])
def test_below_1_5_mm_is_dangerous_by_the_gb_rule_whatever_the_limit(
    now: str, dangerous: bool
) -> None:
    """Inspection manual section 1: below 1.5 mm is dangerous [R]."""
    found = worked(LINING_LIFE, _typed(now=now), replace(KNOWN, brake_rule="gb"))
    assert ("By the GB rule" in found.findings[0].says) is dangerous


def test_little_left_is_near() -> None:
    found = worked(LINING_LIFE, _typed(now="3.5"), KNOWN)
    assert tones(found) == ["near"]
    assert "may not last as long again" in says(found)


def test_thicker_than_new_asks_about_the_backing_plate() -> None:
    found = worked(LINING_LIFE, _typed(before="15.0"), KNOWN)
    assert "backing plate measured with it?" in says(found)


@pytest.mark.parametrize(("rule", "millimetres"), [("gb", 1.5), ("us", 0.79375)])
def test_without_a_limit_the_workshops_rule_gives_the_minimum(
    rule: str, millimetres: float
) -> None:
    """GB below 1.5 mm is dangerous [R]; 49 CFR 570.5(g) 1/32 in [M]."""
    found = worked(LINING_LIFE, _typed(), Known(brake_rule=rule))
    allowed = figure(found, "lining_thickness").allowed
    assert allowed is not None
    assert allowed.low is not None
    assert allowed.low * 1000 == pytest.approx(millimetres)
    typed = worked(LINING_LIFE, _typed(minimum="3"), Known(brake_rule=rule))
    own = figure(typed, "lining_thickness").allowed
    assert own is not None
    assert own.low == 0.003


def test_without_any_minimum_it_asks_for_one() -> None:
    assert "minimum" in refusal(LINING_LIFE, _typed(), Known())
    assert worked(LINING_LIFE, _typed(minimum="2"), Known()).figures


@pytest.mark.parametrize(
    ("other", "field"),
    [
        ({"odometer_now": "48213"}, "odometer_now"),
        ({"odometer_now": "40000"}, "odometer_now"),
        ({"day_now": "2025-11-25"}, "day_now"),
        ({"now": "0"}, "now"),
        ({"before": ""}, "before"),
    ],
)
def test_it_refuses_what_cannot_be(other: Typed, field: str) -> None:
    assert field in refusal(LINING_LIFE, _typed(**other), KNOWN)
    assert worked(LINING_LIFE, _typed(), KNOWN).figures
