"""A coil at work, and what sits beside it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.electrics import joint, resistance_at
from diagnostics.compute.electrics_coil import coil_at_work, pull_in_when_warm, without_parallel

OHMS = st.floats(0.5, 1000)


def test_a_resistor_beside_the_coil_is_taken_away() -> None:
    # 85 ohm beside 680 ohm is 75.56 ohm: 1/85 + 1/680 = 9/680, by hand.
    assert without_parallel(680 / 9, 680) == pytest.approx(85.0)


@given(coil=OHMS, beside=OHMS)
def test_two_in_parallel_come_apart_again(coil: float, beside: float) -> None:
    measured = 1 / (1 / coil + 1 / beside)
    assert without_parallel(measured, beside) == pytest.approx(coil, rel=1e-6)


@pytest.mark.parametrize(
    ("measured", "beside", "says"),
    [
        (680, 680, "Only the resistor"),
        (700, 680, "Only"),
        (0, 680, "above zero"),
        (75, -1, "above"),
    ],
)
def test_a_resistor_alone_is_no_coil(measured: float, beside: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        without_parallel(measured, beside)


@given(ohms=OHMS, supply=st.floats(0.1, 30), celsius=st.floats(-60, 200))
def test_the_current_obeys_ohm_and_the_power_joule(
    ohms: float, supply: float, celsius: float
) -> None:
    found = coil_at_work(ohms, supply, celsius)
    same = joint(supply, found.amps)

    assert same.ohms == pytest.approx(found.ohms) == pytest.approx(resistance_at(ohms, celsius))
    assert same.watts == pytest.approx(found.watts)


@given(volts=st.floats(0, 15), one=st.floats(-60, 200), other=st.floats(-60, 200))
def test_a_warm_coil_pulls_in_later(volts: float, one: float, other: float) -> None:
    cooler, warmer = sorted((one, other))
    later = pull_in_when_warm(volts, cooler, warmer)

    assert later >= volts - 1e-12
    assert pull_in_when_warm(later, warmer, cooler) == pytest.approx(volts)
    # The same current flows through it: that is the rule.
    assert later / resistance_at(80, warmer) == pytest.approx(volts / resistance_at(80, cooler))


@pytest.mark.parametrize(("ohms", "supply"), [(0, 12), (math.nan, 12), (80, -1), (80, math.inf)])
def test_what_cannot_be_is_refused(ohms: float, supply: float) -> None:
    with pytest.raises(ValueError, match=r"resistance|supply"):
        coil_at_work(ohms, supply, 20)
    with pytest.raises(ValueError, match="pull-in"):
        pull_in_when_warm(-1.0, 20, 80)
