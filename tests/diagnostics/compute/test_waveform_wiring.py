"""Drop-outs, slowing wheels and the levels of active sensors, against what was planted."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.compute.waveform import Sensor, analyse
from diagnostics.compute.waveform_levels import HIGH_CURRENT, LOW_CURRENT
from tests.diagnostics.compute.test_waveform_speed import pulses_of
from tests.reference import named, rows
from tests.waves import SOUND, Ring, Wiring, active, changing, passive, steady, times

SECONDS = times(50_000, 4)
GAPS = ((0.8, 0.83), (2.0, 2.4))


@pytest.mark.parametrize("noise_db", [None, 20.0, 10.0])
@pytest.mark.parametrize("sensor", [Sensor.COIL, Sensor.CURRENT])
def test_drop_outs_in_time(noise_db: float | None, sensor: Sensor) -> None:
    make = passive if sensor is Sensor.COIL else active
    volts = make(SECONDS, changing(9, 11, 4), SOUND, Wiring(noise_db=noise_db, gaps=GAPS), seed=1)

    found = pulses_of(SECONDS, volts, sensor).drop_outs.silent

    assert len(found) == 2
    tooth = 1 / (48 * 9)
    for one, (begin, end) in zip(found, GAPS, strict=True):
        assert one.begin == pytest.approx(begin, abs=1.5 * tooth)
        assert one.end == pytest.approx(end, abs=1.5 * tooth)
        assert one.lasts == pytest.approx(end - begin, abs=2 * tooth)
        assert one.where == "within"


def test_the_teeth_of_a_drop_out_are_counted_by_the_speed() -> None:
    law = changing(9, 11, 4)
    volts = passive(SECONDS, law, SOUND, Wiring(gaps=GAPS))

    found = pulses_of(SECONDS, volts).drop_outs.silent

    for one, (begin, end) in zip(found, GAPS, strict=True):
        turned = law(np.array([begin, end]))
        assert one.teeth == pytest.approx(48 * (turned[1] - turned[0]), abs=2)


@pytest.mark.parametrize(("gaps", "where"), [(((3.6, 9.0),), "end"), (((-1.0, 0.5),), "start")])
def test_silence_at_either_end(gaps: tuple[tuple[float, float], ...], where: str) -> None:
    volts = passive(SECONDS, changing(9, 11, 4), SOUND, Wiring(gaps=gaps, noise_db=30))

    [one] = pulses_of(SECONDS, volts).drop_outs.silent

    assert one.where == where


@pytest.mark.parametrize("law", [changing(12, 0, 4), changing(12, 0, 3), changing(0, 12, 4)])
@pytest.mark.parametrize("noise_db", [None, 40.0, 20.0, 10.0])
@pytest.mark.parametrize("ring", [SOUND, Ring(48, {20: 0.0})])
def test_a_wheel_that_stops_or_starts_is_no_drop_out(
    law: object, noise_db: float | None, ring: Ring
) -> None:
    assert callable(law)
    volts = passive(SECONDS, law, ring, Wiring(noise_db=noise_db), seed=6)

    assert not pulses_of(SECONDS, volts).drop_outs.silent


def test_a_hole_in_the_recording_is_no_drop_out() -> None:
    keep = (SECONDS < 1.5) | (SECONDS > 1.6)
    volts = passive(SECONDS, steady(9), SOUND, Wiring(noise_db=30))

    found = pulses_of(SECONDS[keep], volts[keep]).drop_outs

    assert not found.silent
    assert found.holes == 1


def test_a_weak_stretch_is_told_apart() -> None:
    volts = passive(SECONDS, steady(9), SOUND, Wiring(noise_db=40))
    weak = (SECONDS > 2) & (SECONDS < 2.2)

    found = pulses_of(SECONDS, np.where(weak, volts * 0.35, volts)).drop_outs

    assert not found.silent
    [one] = found.weak
    assert one.begin == pytest.approx(2.0, abs=0.01)
    assert one.end == pytest.approx(2.2, abs=0.01)


def test_pulses_too_many() -> None:
    """Short spikes across the middle, between the teeth."""
    volts = passive(SECONDS, steady(9), SOUND)
    for begin in np.arange(0.5, 3.5, 0.1):
        at = int(np.searchsorted(SECONDS, begin + 0.00055))
        volts[at : at + 4] -= 3.0 * np.sign(volts[at])

    found = pulses_of(SECONDS, volts)

    assert found.train.spurious > 0
    assert found.highest_hz == pytest.approx(432, rel=0.02)


# ---- levels ----


@pytest.mark.parametrize("row", rows("active_sensor_levels"), ids=lambda row: named(row, "ohms"))
def test_the_printed_windows(row: dict[str, str]) -> None:
    """The windows in milliampere, across the resistor, are the volts printed beside them."""
    ohms = float(row["ohms"])
    for (low, high), level in ((LOW_CURRENT, "low"), (HIGH_CURRENT, "high")):
        assert low == pytest.approx(float(row[f"{level}_from_ma"]) / 1000)
        assert high == pytest.approx(float(row[f"{level}_to_ma"]) / 1000)
        assert low * ohms == pytest.approx(float(row[f"{level}_from_v"]), abs=0.005)
        assert high * ohms == pytest.approx(float(row[f"{level}_to_v"]), abs=0.005)


@pytest.mark.parametrize("duty", [0.3, 0.5, 0.7])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_levels_and_duty(duty: float, sign: float) -> None:
    volts = active(SECONDS, changing(6, 12, 4), SOUND, Wiring(noise_db=30), duty=duty)

    found = pulses_of(SECONDS, sign * volts, Sensor.CURRENT).levels

    assert found is not None
    assert found.two
    assert sorted((abs(found.low), abs(found.high))) == pytest.approx([0.7, 1.4], abs=0.01)
    assert found.duty == pytest.approx(duty if sign > 0 else 1 - duty, abs=0.01)


def test_drop_outs_do_not_move_the_levels() -> None:
    wiring = Wiring(noise_db=30, gaps=((0.5, 1.5), (2, 3.4)))

    found = pulses_of(SECONDS, active(SECONDS, steady(9), SOUND, wiring), Sensor.CURRENT)

    assert found.levels is not None
    assert found.levels.low == pytest.approx(0.7, abs=0.01)
    assert [one.level for one in found.drop_outs.silent] == pytest.approx([0, 0], abs=0.02)


def test_a_sine_is_not_two_levels() -> None:
    found = analyse(SECONDS, passive(SECONDS, steady(9)), Sensor.CURRENT, teeth=48)

    assert any("Is it a coil sensor" in doubt for doubt in found.doubts)


def test_a_square_that_does_not_grow_is_no_coil() -> None:
    volts = active(SECONDS, changing(4, 12, 4), SOUND, Wiring(noise_db=30))

    found = analyse(SECONDS, volts, Sensor.COIL, teeth=48)

    assert any("is it an active sensor" in doubt for doubt in found.doubts)
