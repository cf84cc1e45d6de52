"""Decelerations against published rows, and against a stop that is driven through step by step."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.deceleration import (
    APPROVALS,
    brought_to,
    from_stop,
    mean_developed,
    slope_pull,
    stopping_distance,
)
from shop.units import to_si
from tests.reference import named, rows

KMH = 1 / 3.6


@pytest.mark.parametrize(
    "row", rows("decelerations"), ids=lambda row: named(row, "speed", "distance")
)
def test_a_published_stop_comes_out(row: dict[str, str]) -> None:
    speed = to_si(float(row["speed"]), row["speed_unit"])
    distance = to_si(float(row["distance"]), row["distance_unit"])

    found = from_stop(speed, distance)

    assert round(found.value, 3) == float(row["m_s2"])
    assert round(found.share_of_gravity * 100, 1) == float(row["percent_g"])
    if row["ft_s2"]:
        assert round(found.value / 0.3048, 2) == float(row["ft_s2"])


@pytest.mark.parametrize("row", rows("mean_deceleration"), ids=lambda row: named(row, "m_s2"))
def test_the_published_mean_fully_developed_deceleration_comes_out(row: dict[str, str]) -> None:
    initial = float(row["initial_kmh"])
    found = mean_developed(
        0.8 * initial * KMH,
        0.1 * initial * KMH,
        float(row["from_m"]),
        float(row["to_m"]),
        initial=initial * KMH,
    )
    assert round(found.value, 3) == float(row["m_s2"])
    # The regulation's own form: km/h, metres and 25.92.
    printed = ((0.8 * initial) ** 2 - (0.1 * initial) ** 2) / (
        25.92 * (float(row["to_m"]) - float(row["from_m"]))
    )
    assert found.value == pytest.approx(printed, rel=1e-9)


@given(brake=st.floats(1, 10), initial=st.floats(8, 40), slope=st.floats(-0.1, 0.1))
def test_on_a_slope_it_finds_the_brake_that_the_car_was_stopped_with(
    brake: float, initial: float, slope: float
) -> None:
    """The distances come from a stop driven at brake + g sin α."""
    whole = brake + 9.80665 * math.sin(math.atan(slope))
    distances = [(initial**2 - (share * initial) ** 2) / (2 * whole) for share in (0.8, 0.1)]
    found = mean_developed(
        0.8 * initial, 0.1 * initial, distances[0], distances[1], initial=initial, slope=slope
    )
    assert found.value == pytest.approx(brake, rel=1e-9)
    assert found.as_driven == pytest.approx(whole, rel=1e-9)
    stop = from_stop(initial, initial**2 / (2 * whole), slope=slope)
    assert stop.value == pytest.approx(brake, rel=1e-9)


def test_from_50_kmh_with_one_second_of_thinking_it_is_33_18_m() -> None:
    """Printed beside the table of the decelerations: 13.89 + 19.29 = 33.18 m [C]."""
    found = stopping_distance(50 * KMH, 5.0, 1.0)
    assert round(found, 2) == 33.18
    assert from_stop(50 * KMH, found, thinking=1.0).value == pytest.approx(5.0)


@given(speed=st.floats(1, 60), deceleration=st.floats(0.5, 12), thinking=st.floats(0, 3))
def test_a_stop_and_its_distance_undo_each_other(
    speed: float, deceleration: float, thinking: float
) -> None:
    distance = stopping_distance(speed, deceleration, thinking)
    found = from_stop(speed, distance, thinking=thinking)
    assert found.value == pytest.approx(deceleration, rel=1e-6)


def test_a_stop_from_22_mph_is_brought_to_20() -> None:
    distance = to_si(30.25, "ft")
    found = brought_to(distance, to_si(22, "mph"), to_si(20, "mph"))
    assert found == pytest.approx(to_si(25, "ft"))
    same = from_stop(to_si(20, "mph"), found).value
    assert same == pytest.approx(from_stop(to_si(22, "mph"), distance).value)


@pytest.mark.parametrize(("initial", "fast"), [(98.0, True), (97.9, False), (104.0, True)])
def test_the_initial_speed_is_at_least_98_per_cent_of_the_prescribed(
    initial: float, fast: bool
) -> None:
    found = mean_developed(60 * KMH, 10 * KMH, 20, 50, initial=initial * KMH, prescribed=100 * KMH)
    assert found.fast_enough is fast
    assert mean_developed(60 * KMH, 10 * KMH, 20, 50, initial=20).fast_enough is None


@pytest.mark.parametrize("row", rows("approval_distances"), ids=lambda row: named(row, "test"))
def test_an_approval_distance_agrees_with_its_own_formula(row: dict[str, str]) -> None:
    """From memory but for one row; each is checked by 1/(25.92 c) only [C]."""
    (found,) = [one for one in APPROVALS if one.test == row["test"]]
    assert found.coefficient == float(row["coefficient"])
    assert found.mark == row["mark"]
    assert found.distance(100 * KMH) == pytest.approx(float(row["metres_at_100"]), abs=1e-9)
    assert round(found.deceleration, 2) == float(row["m_s2"])


def test_every_approval_distance_has_a_row() -> None:
    assert {one.test for one in APPROVALS} == {row["test"] for row in rows("approval_distances")}


@pytest.mark.parametrize(
    ("speeds", "distances", "initial"),
    [
        ((10, 10), (0, 10), 12),
        ((10, 12), (0, 10), 12),
        ((10, 1), (10, 10), 12),
        ((10, 1), (10, 5), 12),
        ((10, 1), (0, 10), 9),
        ((10, -1), (0, 10), 12),
        ((math.nan, 1), (0, 10), 12),
    ],
)
def test_it_refuses_a_stop_that_is_none(
    speeds: tuple[float, float], distances: tuple[float, float], initial: float
) -> None:
    with pytest.raises(ValueError, match=r"speed|distance|numbers"):
        mean_developed(*speeds, *distances, initial=initial)
    assert mean_developed(10, 1, 0, 10, initial=12).value == pytest.approx(4.95)


def test_it_refuses_thinking_longer_than_the_stop_and_a_mountain() -> None:
    with pytest.raises(ValueError, match="thinking time"):
        from_stop(10, 9, thinking=1)
    with pytest.raises(ValueError, match="thinking time"):
        from_stop(10, 9, thinking=-1)
    with pytest.raises(ValueError, match="slope"):
        from_stop(10, 9, slope=0.3)
    with pytest.raises(ValueError, match="above zero"):
        from_stop(0, 9)
    with pytest.raises(ValueError, match="does not stop"):
        stopping_distance(10, 0)
    with pytest.raises(ValueError, match="above zero"):
        brought_to(10, 0, 10)
    assert from_stop(10, 9).value > 0
    # A slope of 1 % pulls by about a hundredth of g: the whole error of a level road that is not.
    assert slope_pull(0.01) == pytest.approx(0.0980616, abs=1e-6)
