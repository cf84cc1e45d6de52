"""A switched drive: planted duty and frequency, and the worked current."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from diagnostics.compute.pwm_capture import judge_pwm, mean_current, mean_over_periods
from diagnostics.compute.waveform_arrays import Numbers
from tests.reference import named, rows
from tests.waves import times

SECONDS = times(40_000, 1)


def drive(duty: float, hertz: float = 200.0, volts: float = 13.5) -> Numbers:
    """scipy's square wave: on first, for the share `duty` of each period."""
    made = volts * (signal.square(2 * np.pi * hertz * SECONDS + 1e-6, duty) + 1) / 2
    return np.asarray(made, dtype=np.float64)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 0.95), st.floats(30, 800), st.booleans())
def test_duty_and_frequency(duty: float, hertz: float, high: bool) -> None:
    found = judge_pwm(SECONDS, drive(duty, hertz), on_when_high=high)

    sample = hertz / 40_000
    assert found.duty_at == pytest.approx(duty if high else 1 - duty, abs=1.1 * sample)
    assert found.hertz_at == pytest.approx(hertz, rel=2 * sample)
    assert found.on_volts == pytest.approx(13.5 if high else 0.0)
    assert found.off_volts == pytest.approx(0.0 if high else 13.5)
    assert found.steady


@pytest.mark.parametrize("offset", [0.0, -0.7, 4.0])
@pytest.mark.parametrize("sigma", [0.05, 0.3])
def test_noise_and_offset(offset: float, sigma: float) -> None:
    noise = np.random.default_rng(1).normal(0, sigma, SECONDS.size)

    found = judge_pwm(SECONDS, drive(0.4) + offset + noise, on_when_high=True)

    assert found.duty_at == pytest.approx(0.4, abs=0.01)
    assert found.hertz_at == pytest.approx(200, rel=0.01)
    assert found.on_volts == pytest.approx(13.5 + offset, abs=0.05)
    assert found.off_volts == pytest.approx(offset, abs=0.05)


def test_a_duty_that_moves() -> None:
    phase = (SECONDS * 200) % 1
    found = judge_pwm(
        SECONDS, 13.5 * (phase < 0.3 + 0.4 * SECONDS).astype(np.float64), on_when_high=True
    )

    assert found.duty_from == pytest.approx(0.32, abs=0.02)
    assert found.duty_to == pytest.approx(0.68, abs=0.02)
    assert found.duty[0] < found.duty[-1]


@pytest.mark.parametrize(
    "row",
    [row for row in rows("pwm_current") if row["celsius"] == "20"],
    ids=lambda row: named(row, "duty_percent"),
)
def test_the_worked_current(row: dict[str, str]) -> None:
    """I = D V / R, from the captured signal itself."""
    volts = drive(float(row["duty_percent"]) / 100, volts=float(row["supply_volts"]))

    found = judge_pwm(SECONDS, volts, on_when_high=True)

    amps = mean_current(found.duty_at, found.on_volts, found.off_volts, float(row["ohms_at_20"]))
    # The duty is known to a sample in a period of two hundred.
    assert amps == pytest.approx(float(row["amps"]), rel=0.005)


def test_the_mean_is_the_integrals() -> None:
    seconds = np.sort(np.random.default_rng(4).uniform(0, 1, 5000))
    values = 1.2 + 0.3 * np.sin(2 * np.pi * 20 * seconds)

    assert mean_over_periods(seconds, values, 0.1, 0.9) == pytest.approx(1.2, abs=1e-3)


@pytest.mark.parametrize("volts", [0.0, 13.5])
def test_what_does_not_switch(volts: float) -> None:
    found = judge_pwm(SECONDS, np.full(SECONDS.size, volts), on_when_high=True)

    assert not found.switches
    assert found.resting == volts
    assert "Nothing switches" in found.reason


def test_no_resistance_no_current() -> None:
    with pytest.raises(ValueError, match="above nought"):
        mean_current(0.4, 13.5, 0.0, 0.0)
