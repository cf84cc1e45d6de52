"""Teeth, turns and road speed against worked values and pint; tyres; hand spin."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.compute import wheel_speed
from shop.tyres import parse_tyre
from shop.units import to_si
from tests.reference import named, rows

PINT = pint.UnitRegistry()
POSITIVE = st.floats(1e-3, 1e6)


@pytest.mark.parametrize(
    "row", rows("wheel_frequency"), ids=lambda row: named(row, "teeth", "speed_kmh")
)
def test_the_frequency_of_a_worked_row_and_its_way_back(row: dict[str, str]) -> None:
    teeth, circumference = float(row["teeth"]), float(row["circumference_m"])
    speed, hertz = to_si(float(row["speed_kmh"]), "km/h"), float(row["hertz"])

    found = wheel_speed.frequency(teeth=teeth, speed=speed, circumference=circumference)
    back = wheel_speed.road_speed(teeth=teeth, hertz=hertz, circumference=circumference)

    assert found == pytest.approx(hertz, abs=0.02)
    assert back == pytest.approx(speed, rel=5e-4)
    implied = wheel_speed.teeth_implied(hertz=hertz, speed=speed, circumference=circumference)
    assert round(implied) == int(teeth)


@given(teeth=st.integers(8, 200), kmh=st.floats(0.1, 300), mm=st.floats(800, 4000))
@settings(deadline=None)
def test_pint_comes_to_the_same(teeth: int, kmh: float, mm: float) -> None:
    turns = PINT.Quantity(kmh, "km/hour") / PINT.Quantity(mm, "mm")
    expected = (teeth * turns).to("1/s").magnitude
    found = wheel_speed.frequency(teeth=teeth, speed=to_si(kmh, "km/h"), circumference=mm / 1000)
    assert found == pytest.approx(expected, rel=1e-9)


@given(teeth=st.integers(1, 200), hertz=st.floats(0, 1e5), circumference=POSITIVE)
def test_there_and_back(teeth: int, hertz: float, circumference: float) -> None:
    speed = wheel_speed.road_speed(teeth=teeth, hertz=hertz, circumference=circumference)
    back = wheel_speed.frequency(teeth=teeth, speed=speed, circumference=circumference)
    assert back == pytest.approx(hertz, rel=1e-9, abs=1e-9)


@given(teeth=st.integers(8, 200), turns=st.floats(0.25, 100), seconds=st.floats(0.1, 100))
def test_a_spin_is_as_fast_as_the_road_speed_it_names(
    teeth: int, turns: float, seconds: float
) -> None:
    spun = wheel_speed.spin(teeth=teeth, turns=turns, seconds=seconds, circumference=1.9)
    assert spun.road_speed is not None
    on_the_road = wheel_speed.frequency(teeth=teeth, speed=spun.road_speed, circumference=1.9)
    assert on_the_road == pytest.approx(spun.expected, rel=1e-9)


@pytest.mark.parametrize("row", rows("hand_spin"), ids=lambda row: named(row, "millivolts"))
def test_the_printed_ends_of_a_hand_spin(row: dict[str, str]) -> None:
    volts = float(row["millivolts"]) / 1000
    if row["measured_as"] == "ac":
        at_one = wheel_speed.volts_at_one_turn(volts, float(row["turns_per_second"]))
        assert wheel_speed.side_of_hand_spin(at_one) == row["side"]
    else:
        low = volts < wheel_speed.HAND_SPIN_PEAK_TO_PEAK
        assert ("low" if low else "within") == row["side"]


def test_a_faster_turn_counts_for_less() -> None:
    assert wheel_speed.volts_at_one_turn(0.8, 2.0) == pytest.approx(0.4)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0])
def test_what_cannot_be_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="teeth"):
        wheel_speed.frequency(teeth=bad, speed=1, circumference=1)
    with pytest.raises(ValueError, match="speed"):
        wheel_speed.frequency(teeth=48, speed=bad, circumference=1)
    with pytest.raises(ValueError, match="frequency"):
        wheel_speed.road_speed(teeth=48, hertz=bad, circumference=1)
    with pytest.raises(ValueError, match="circumference"):
        wheel_speed.road_speed(teeth=48, hertz=1, circumference=bad)
    with pytest.raises(ValueError, match="turns"):
        wheel_speed.spin(teeth=48, turns=bad, seconds=1)


def test_nought_teeth_and_nought_seconds_are_refused() -> None:
    with pytest.raises(ValueError, match="teeth"):
        wheel_speed.road_speed(teeth=0, hertz=1, circumference=1)
    with pytest.raises(ValueError, match="time"):
        wheel_speed.spin(teeth=48, turns=1, seconds=0)


def test_sizes_named_as_similar_are() -> None:
    size = parse_tyre("195/65 R15")
    wanted = 610.0
    named_sizes = wheel_speed.similar_sizes(size, wanted)
    assert named_sizes
    for words in named_sizes:
        other = parse_tyre(words)
        assert other.rim_in == size.rim_in
        assert other.outer_diameter_mm == pytest.approx(wanted, rel=0.007)


def test_the_size_itself_is_not_named_as_another() -> None:
    size = parse_tyre("195/65 R15")
    assert "195/65 R15" not in wheel_speed.similar_sizes(size, size.outer_diameter_mm)
