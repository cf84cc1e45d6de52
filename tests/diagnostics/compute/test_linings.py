"""Life of linings: against a simulation, the linear law of error propagation, and plain cases."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.linings import Pair, Wear, life_left, thickness_at

MM, KM = 1e-3, 1e3


def _pair(
    before: float = 10.0,
    now: float = 7.0,
    driven: float = 20_000,
    minimum: float = 1.5,
    uncertainty: float = 0.1,
) -> Pair:
    return Pair(before * MM, now * MM, driven * KM, minimum * MM, uncertainty * MM)


def test_the_distance_left_is_the_rule_of_three() -> None:
    found = life_left(_pair())

    assert found.wear is Wear.KNOWN
    assert found.rate * 1e7 / MM == pytest.approx(1.5)  # mm in 10 000 km
    assert found.left is not None
    assert found.left / KM == pytest.approx(5.5 / 3 * 20_000)


def test_its_range_is_that_of_a_simulation() -> None:
    """A million pairs of readings round the true ones: how often does the range hold the truth?"""
    rng = np.random.default_rng(4)
    true = _pair(before=10.0, now=9.0, uncertainty=0.2)
    truth = (9.0 - 1.5) / 1.0 * 20_000 * KM
    read = rng.normal([10.0, 9.0], 0.1, size=(4000, 2))
    held = known = 0
    for before, now in read:
        found = life_left(_pair(before=before, now=now, uncertainty=0.2))
        if found.shortest is not None and found.longest is not None:
            known += 1
            held += found.shortest <= truth <= found.longest
    assert life_left(true).wear is Wear.KNOWN
    assert known > 3900
    # k = 2 of a normal distribution holds 95.45 %; 4 standard errors of a count of 4000.
    assert held / known == pytest.approx(0.9545, abs=0.0135)


@given(worn=st.floats(1, 8), left=st.floats(0.5, 10), uncertainty=st.floats(1e-5, 1e-3))
def test_for_a_fine_gauge_it_is_the_linear_law_of_propagation(
    worn: float, left: float, uncertainty: float
) -> None:
    pair = _pair(before=1.5 + left + worn, now=1.5 + left, uncertainty=uncertainty)
    found = life_left(pair)
    # dL/dt1 = -s (t2 - m)/w², dL/dt2 = s (t1 - m)/w².
    slope = math.hypot(left, left + worn) / worn**2 * pair.driven / MM
    expected = slope * uncertainty * MM

    assert found.left is not None
    assert found.shortest is not None
    assert found.longest is not None
    assert found.left - found.shortest == pytest.approx(expected, rel=0.01)
    assert found.longest - found.left == pytest.approx(expected, rel=0.01)


@given(
    before=st.floats(4, 14),
    worn=st.floats(0.4, 2),
    uncertainty=st.floats(0, 0.1),
    driven=st.floats(500, 60_000),
)
def test_the_fan_meets_the_minimum_at_the_ends_of_the_range(
    before: float, worn: float, uncertainty: float, driven: float
) -> None:
    pair = _pair(before=before, now=before - worn, uncertainty=uncertainty, driven=driven)
    found = life_left(pair)

    assert found.wear is Wear.KNOWN
    assert found.left is not None
    assert found.shortest is not None
    assert found.longest is not None
    assert found.shortest <= found.left + 1e-3 <= found.longest + 2e-3
    for end, sign in ((found.shortest, -1), (found.longest, 1)):
        thickness, doubt = thickness_at(pair, end)
        if end > 0:
            assert thickness + sign * doubt == pytest.approx(pair.minimum, abs=1e-9)


def test_wear_lost_in_the_uncertainty_is_not_determinable_yet_and_names_the_distance() -> None:
    found = life_left(_pair(before=10.0, now=9.9, driven=2_000, uncertainty=0.1))

    assert found.wear is Wear.NOT_YET
    assert found.left is None
    assert found.needed is not None
    # 2 √2 · 0.1 mm of wear is needed; 0.1 mm came in 2000 km.
    assert found.needed / KM == pytest.approx(2_000 * 2 * math.sqrt(2))
    after = life_left(
        _pair(before=10.0, now=10.0 - 0.1 * 2.83, driven=2_000 * 2.83, uncertainty=0.1)
    )
    assert after.wear is Wear.KNOWN


@pytest.mark.parametrize("now", [10.0, 10.1])
def test_with_no_wear_seen_the_distance_is_that_of_the_fastest_wear_possible(now: float) -> None:
    found = life_left(_pair(before=10.0, now=now, driven=2_000, uncertainty=0.1))
    assert found.wear is Wear.NOT_YET
    assert found.slowest == 0
    assert found.needed is not None
    assert found.needed >= 2 * 2_000 * KM


def test_equal_readings_of_a_perfect_gauge_name_no_distance() -> None:
    found = life_left(_pair(before=10.0, now=10.0, uncertainty=0.0))
    assert found.wear is Wear.NOT_YET
    assert found.needed is None


def test_a_lining_that_grew_by_more_than_the_gauge_can_err_is_not_worked_with() -> None:
    assert life_left(_pair(before=9.0, now=9.15)).wear is Wear.GREW
    assert life_left(_pair(before=9.0, now=9.13)).wear is Wear.NOT_YET


def test_below_the_minimum_nothing_is_left() -> None:
    found = life_left(_pair(now=1.2))
    assert found.left == 0
    assert found.shortest == 0


@pytest.mark.parametrize(
    "pair",
    [
        _pair(driven=0),
        _pair(now=0),
        _pair(before=-1),
        _pair(minimum=-0.1),
        _pair(uncertainty=-0.1),
        _pair(now=math.nan),
    ],
)
def test_it_refuses_what_cannot_be(pair: Pair) -> None:
    with pytest.raises(ValueError, match=r"."):
        life_left(pair)
    assert life_left(_pair()).wear is Wear.KNOWN
