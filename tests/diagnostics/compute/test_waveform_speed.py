"""Frequency and height over time, against the law the signal was made by, and scipy's spectrum."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from diagnostics.compute.waveform import Pulses, Sensor, analyse
from diagnostics.compute.waveform_arrays import Numbers
from tests.reference import named, rows
from tests.waves import SOUND, Law, Ring, Wiring, active, changing, passive, steady, times


def pulses_of(
    seconds: Numbers, volts: Numbers, sensor: Sensor = Sensor.COIL, teeth: int | None = 48
) -> Pulses:
    found = analyse(seconds, volts, sensor, teeth=teeth)
    assert found.pulses is not None, found.reason
    return found.pulses


@pytest.mark.parametrize(
    "row", rows("wheel_frequency"), ids=lambda row: named(row, "teeth", "speed_kmh")
)
def test_the_formula(row: dict[str, str]) -> None:
    """f = N v / C: a wheel that rolls so fast is read at the printed frequency."""
    teeth = int(row["teeth"])
    turns = float(row["speed_kmh"]) / 3.6 / float(row["circumference_m"])
    seconds = times(60_000, 60 / turns / teeth)

    found = pulses_of(seconds, passive(seconds, steady(turns), Ring(teeth)), teeth=teeth)

    # Both the speed and the frequency are rounded where they are printed.
    rounded = 0.005 + float(row["hertz"]) * _half_digit(row["speed_kmh"])
    assert found.lowest_hz == pytest.approx(float(row["hertz"]), abs=rounded)
    assert found.highest_hz == pytest.approx(float(row["hertz"]), abs=rounded)


def _half_digit(printed: str) -> float:
    """Half of the last digit after the point, as a ratio; whole numbers are exact."""
    decimals = len(printed.partition(".")[2])
    return 0.5 * 10**-decimals / float(printed) if decimals else 0.0


@pytest.mark.parametrize("law", [changing(5, 15, 4), changing(12, 0.5, 4), changing(0, 10, 4)])
@pytest.mark.parametrize("uneven", [0.0, 0.9])
def test_a_changing_speed(law: Law, uneven: float) -> None:
    """Each pulse comes when the law has gone on by one tooth, to half a hundredth of it."""
    seconds = times(80_000, 4, uneven=uneven, seed=3)

    found = pulses_of(seconds, passive(seconds, law))

    turned = np.diff(law(found.train.seconds)) * 48
    inside = slice(12, -12)
    assert turned[inside] == pytest.approx(np.ones(turned[inside].size), abs=5e-3)
    assert found.train.spurious == 0
    assert not found.drop_outs.silent


@pytest.mark.parametrize("noise_db", [40.0, 20.0])
def test_a_constant_stretch_is_the_spectrums(noise_db: float) -> None:
    seconds = times(65_536, 4)
    volts = passive(seconds, steady(7.3), SOUND, Wiring(noise_db=noise_db), seed=1)

    found = pulses_of(seconds, volts)

    hertz, power = signal.periodogram(volts, fs=65_536 / 4, window="hann", nfft=1 << 19)
    mean = (found.train.places.size - 1) / (found.train.seconds[-1] - found.train.seconds[0])
    assert mean == pytest.approx(hertz[np.argmax(power)], abs=0.05)


def test_the_height_grows_with_the_speed() -> None:
    seconds = times(80_000, 4)

    found = pulses_of(seconds, passive(seconds, changing(5, 15, 4), volts_per_hertz=0.002))

    assert found.volts_per_hertz == pytest.approx(0.004, rel=0.01)
    assert found.swing_at_lowest == pytest.approx(0.004 * found.slow_hz, rel=0.02)
    assert found.swing_at_highest == pytest.approx(0.004 * found.fast_hz, rel=0.02)


@pytest.mark.parametrize("noise_db", [30.0, 20.0, 10.0])
def test_signal_to_noise(noise_db: float) -> None:
    seconds = times(80_000, 4)

    found = pulses_of(seconds, passive(seconds, steady(10), SOUND, Wiring(noise_db=noise_db)))

    assert found.heights.noise_db == pytest.approx(noise_db, abs=0.5)


@pytest.mark.parametrize("bits", [8, 10, 12])
def test_a_coarse_converter(bits: int) -> None:
    seconds = times(80_000, 4)

    found = pulses_of(seconds, passive(seconds, changing(8, 12, 4), SOUND, Wiring(bits=bits)))

    assert found.train.spurious == 0
    assert found.lowest_hz == pytest.approx(384, rel=0.01)
    assert found.highest_hz == pytest.approx(576, rel=0.01)


def _frequencies(seconds: Numbers, volts: Numbers) -> Numbers:
    return 1 / pulses_of(seconds, volts).train.period


SECONDS = times(12_000, 1)
SIGNAL = passive(SECONDS, changing(8, 12, 1), Ring(48, {11: 0.0}), Wiring(noise_db=30), seed=5)


@settings(max_examples=30, deadline=None)
@given(st.floats(1e-3, 1e3), st.booleans())
def test_another_scale_changes_no_frequency(scale: float, turned: bool) -> None:
    volts = SIGNAL * (-scale if turned else scale)
    alike = SIGNAL * (-1.0 if turned else 1.0)

    assert _frequencies(SECONDS, volts) == pytest.approx(_frequencies(SECONDS, alike), rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(st.floats(-100, 100))
def test_an_offset_changes_no_frequency(offset: float) -> None:
    assert _frequencies(SECONDS, SIGNAL + offset) == pytest.approx(
        _frequencies(SECONDS, SIGNAL), rel=1e-6
    )


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 47), st.integers(0, 1000))
def test_polarity_keeps_the_place(tooth: int, seed: int) -> None:
    """Up to where the turn begins: the tooth passes the sensor at the same moment."""
    volts = passive(
        SECONDS, changing(8, 12, 1), Ring(48, {tooth: 0.0}), Wiring(noise_db=30), seed=seed
    )
    moments = []
    for sign in (1.0, -1.0):
        found = pulses_of(SECONDS, sign * volts)
        [odd] = found.ring.odd
        moments.append(found.heights.seconds[found.ring.places == odd.number - 1])
        assert odd.kind == "missing"
    shared = min(one.size for one in moments)
    # Not in which turn it is seen first, but where in the turn.
    apart = np.abs(moments[0][:shared, None] - moments[1][None, :shared]).min(axis=1)
    assert np.median(apart) * 480 < 1.0


def test_an_active_sensor_keeps_time() -> None:
    seconds = times(80_000, 4)
    law = changing(5, 15, 4)

    found = pulses_of(seconds, active(seconds, law, duty=0.4), Sensor.VOLTAGE)

    turned = np.diff(law(found.train.seconds)) * 48
    # An edge between two samples is known to one sample, and nine teeth average it out.
    assert turned == pytest.approx(np.ones(turned.size), abs=0.06)
    middle = (found.train.seconds[1:] + found.train.seconds[:-1]) / 2
    wanted = 48 * (5 + 2.5 * middle)
    assert found.hertz[8:-8] == pytest.approx(wanted[8:-8], rel=0.01)
    assert found.levels is not None
    assert found.levels.duty == pytest.approx(0.4, abs=0.02)
