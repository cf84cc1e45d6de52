"""The mean current of a switched coil, against hand arithmetic and a simulated circuit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from diagnostics.compute.electrics import resistance_at
from diagnostics.compute.electrics_pwm import DIODE_DROP, implied_ohms, mean_current, ripple
from tests.reference import named, rows

DUTIES, OHMS = st.floats(0, 1), st.floats(0.5, 100)


@pytest.mark.parametrize(
    "row", rows("pwm_current"), ids=lambda row: named(row, "duty_percent", "celsius")
)
def test_the_worked_current(row: dict[str, str]) -> None:
    ohms = resistance_at(float(row["ohms_at_20"]), float(row["celsius"]))

    found = mean_current(float(row["supply_volts"]), float(row["duty_percent"]) / 100, ohms)

    assert found.amps == pytest.approx(float(row["amps"]), abs=float(row["tolerance"]))
    assert found.volts == pytest.approx(5.4)
    assert found.least < found.amps


def _simulated(duty: float, diode: float, period: float) -> tuple[float, float]:
    """Mean current and swing of 4.2 ohm and 21 mH on 13.5 V in the steady state."""
    ohms, henry, supply = 4.2, 0.021, 13.5
    amps = mean = swing = 0.0
    for _period in range(int(12 * (henry / ohms) / period) + 2):
        charge, seen = 0.0, [amps]
        for volts, seconds in ((supply, duty * period), (-diode, (1 - duty) * period)):
            ran = solve_ivp(
                lambda _t, y, volts=volts: [
                    (volts - ohms * y[0]) / henry if volts > 0 or y[0] > 0 else 0.0,
                    y[0],
                ],
                (0, seconds),
                [amps, 0.0],
                rtol=1e-9,
                atol=1e-12,
                max_step=seconds / 20,
            )
            amps, charge = float(ran.y[0][-1]), charge + float(ran.y[1][-1])
            seen.append(amps)
        mean, swing = charge / period, float(np.ptp(seen))
    return mean, swing


@pytest.mark.parametrize("duty", [0.2, 0.4, 0.8])
def test_an_inductive_load_has_the_current_of_a_resistive_one(duty: float) -> None:
    period = 1 / 200
    mean, swing = _simulated(duty, 0.0, period)

    assert mean == pytest.approx(mean_current(13.5, duty, 4.2).amps, rel=1e-4)
    assert swing == pytest.approx(ripple(13.5, duty, 4.2, period, 0.021 / 4.2), rel=1e-3)


@pytest.mark.parametrize("duty", [0.2, 0.4, 0.8])
def test_a_diode_takes_no_more_than_said(duty: float) -> None:
    mean, _swing = _simulated(duty, DIODE_DROP, 1 / 1000)
    found = mean_current(13.5, duty, 4.2)

    assert mean == pytest.approx(found.least, rel=1e-3)
    assert found.least <= mean * 1.001 <= found.amps


@given(supply=st.floats(0, 30), duty=DUTIES, ohms=OHMS)
def test_more_duty_never_gives_less_current(supply: float, duty: float, ohms: float) -> None:
    some, full = mean_current(supply, duty, ohms), mean_current(supply, 1.0, ohms)

    assert 0 <= some.least <= some.amps <= full.amps
    assert full.least == full.amps == supply / ohms


@given(supply=st.floats(6, 30), duty=st.floats(0.05, 1), ohms=OHMS)
def test_the_resistance_comes_back(supply: float, duty: float, ohms: float) -> None:
    current = mean_current(supply, duty, ohms)

    low, high = implied_ohms(supply, duty, current.amps)

    assert low <= high == pytest.approx(ohms)
    if current.least > 0:
        assert implied_ohms(supply, duty, current.least)[0] == pytest.approx(ohms)


@given(duty=DUTIES, period=st.floats(1e-5, 10), constant=st.floats(1e-5, 10))
def test_the_swing_lies_between_none_and_all(duty: float, period: float, constant: float) -> None:
    assert 0 <= ripple(12.0, duty, 4.0, period, constant) <= 3.0 + 1e-9


@pytest.mark.parametrize(
    ("supply", "duty", "ohms", "says"),
    [
        (12, -0.01, 4, "duty"),
        (12, 1.01, 4, "duty"),
        (12, math.nan, 4, "duty"),
        (-1, 0.5, 4, "supply"),
        (math.inf, 0.5, 4, "supply"),
        (12, 0.5, 0, "resistance"),
        (12, 0.5, math.nan, "resistance"),
    ],
)
def test_what_cannot_be_is_refused(supply: float, duty: float, ohms: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        mean_current(supply, duty, ohms)
    with pytest.raises(ValueError, match=says):
        ripple(supply, duty, ohms, 0.005, 0.005)


def test_no_current_implies_no_resistance() -> None:
    with pytest.raises(ValueError, match="no current"):
        implied_ohms(12.0, 0.4, 0.0)
    for period, constant in ((0.0, 1.0), (1.0, 0.0), (math.inf, 1.0)):
        with pytest.raises(ValueError, match="above zero"):
            ripple(12.0, 0.4, 4.0, period, constant)
