"""What is no wheel-speed signal: a sentence instead of figures, and never an error."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from diagnostics.compute.pwm_capture import judge_pwm
from diagnostics.compute.waveform import Sensor, analyse
from diagnostics.compute.waveform_arrays import Numbers
from tests.waves import SOUND, Wiring, passive, steady, times

SECONDS = times(20_000, 2)
RANDOM = np.random.default_rng(3)

NOTHING: dict[str, tuple[Any, str]] = {
    "a flat line": (np.full(20_000, 2.5), "flat line"),
    "noise": (RANDOM.normal(size=20_000), "noise"),
    "a walk": (np.cumsum(RANDOM.normal(size=20_000)), "regular intervals"),
    "one step": ((SECONDS > 1) * 1.0, "often enough"),
    "two edges": (((SECONDS > 0.5) & (SECONDS < 1)) * 1.0, "often enough"),
    "three pulses": ((np.abs(SECONDS % 0.6 - 0.3) < 0.05) * 1.0, "too few"),
    "two samples a tooth": (np.sin(np.arange(20_000) * 2.5), "faster time base"),
}


@pytest.mark.parametrize(("volts", "says"), NOTHING.values(), ids=NOTHING)
@pytest.mark.parametrize("sensor", Sensor)
def test_no_pulses_is_a_sentence(volts: Numbers, says: str, sensor: Sensor) -> None:
    found = analyse(SECONDS, volts, sensor, teeth=48)

    assert found.pulses is None
    assert says in found.reason
    assert found.reason.endswith(".")


@pytest.mark.parametrize("count", range(9))
def test_a_handful_of_samples(count: int) -> None:
    seconds: Any = np.arange(count) * 1e-3

    found = analyse(seconds, np.sin(np.arange(count)), Sensor.COIL)

    assert found.pulses is None
    assert not judge_pwm(seconds, np.sin(np.arange(count)), on_when_high=True).switches


def test_a_signal_cut_off_says_so() -> None:
    found = analyse(SECONDS, np.clip(passive(SECONDS, steady(9)), -0.4, 0.4), Sensor.COIL, teeth=48)

    assert found.pulses is not None
    assert found.pulses.swing_at_lowest == pytest.approx(0.8)
    assert any("cut off" in doubt for doubt in found.doubts)


def test_hum_is_doubted() -> None:
    volts = np.sin(2 * np.pi * 50 * SECONDS) + RANDOM.normal(0, 0.05, SECONDS.size)

    found = analyse(SECONDS, volts, Sensor.COIL)

    assert any("mains" in doubt for doubt in found.doubts)


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="equal length"):
        analyse(SECONDS, SECONDS[:-1], Sensor.COIL)
    with pytest.raises(ValueError, match="between 4 and 400 teeth"):
        analyse(SECONDS, SECONDS, Sensor.COIL, teeth=2)


@settings(max_examples=150, deadline=None)
@given(
    arrays.arrays(np.float64, st.integers(0, 400), elements=st.floats(-1e6, 1e6)),
    st.sampled_from(list(Sensor)),
    st.sampled_from([None, 4, 48]),
)
def test_nothing_crashes(volts: Any, sensor: Sensor, teeth: int | None) -> None:
    seconds: Any = np.arange(volts.size) * 1e-4
    _is_finite(seconds, volts, sensor, teeth)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 10_000),
    st.sampled_from(list(Sensor)),
    st.sampled_from([None, 5, 48]),
    st.floats(-5, 40),
    st.lists(st.tuples(st.floats(0, 2), st.floats(0, 2)), max_size=6),
)
def test_nothing_crashes_on_spoilt_signals(
    seed: int,
    sensor: Sensor,
    teeth: int | None,
    noise_db: float,
    gaps: list[tuple[float, float]],
) -> None:
    random = np.random.default_rng(seed)
    seconds = times(int(random.integers(20, 8000)), 2)
    speed = steady(float(random.uniform(0.1, 20)))
    wiring = Wiring(tuple(gaps), noise_db, bits=int(random.integers(0, 9)))
    _is_finite(seconds, passive(seconds, speed, SOUND, wiring, seed=seed), sensor, teeth)


def _is_finite(seconds: Numbers, volts: Numbers, sensor: Sensor, teeth: int | None) -> None:
    found = analyse(seconds, volts, sensor, teeth=teeth)

    assert found.reason
    if found.pulses is None:
        return
    pulses = found.pulses
    arrays_of = (pulses.train.seconds, pulses.train.period, pulses.heights.height, pulses.turn)
    assert all(np.isfinite(one).all() for one in arrays_of)
    for value in (pulses.lowest_hz, pulses.highest_hz, pulses.volts_per_hertz):
        assert np.isfinite(value)
    assert np.all(np.diff(pulses.train.numbers) >= 1)
