"""What comes back in every turn: planted teeth and waves are found where they were put."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.compute.waveform import Pulses, Sensor
from diagnostics.compute.waveform_modulation import OncePerTurn
from tests.diagnostics.compute.test_waveform_speed import pulses_of
from tests.waves import SOUND, Law, Ring, Wiring, active, changing, passive, steady, times

SECONDS = times(50_000, 4)
LAWS = {"even": steady(7.9), "faster": changing(6, 12, 4), "to a stop": changing(12, 0, 4.0)}


def place_of(found: Pulses, law: Law, number: int, teeth: int = 48) -> float:
    """Which tooth of the ring passes when the tooth counted as `number` does."""
    at = found.heights.seconds[found.ring.places == number - 1]
    angle = 2 * np.pi * (law(at) - 0.25 / teeth)
    turn = np.angle(np.mean(np.exp(1j * angle))) / (2 * np.pi)
    return float(turn * teeth % teeth)


def _apart(one: float, other: float, teeth: int = 48) -> float:
    return abs((one - other + teeth / 2) % teeth - teeth / 2)


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
@pytest.mark.parametrize("height", [0.0, 0.5])
@pytest.mark.parametrize("tooth", [0, 17, 47])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_one_bad_tooth(law: Law, height: float, tooth: int, sign: float) -> None:
    ring = Ring(48, {tooth: height})
    volts = sign * passive(SECONDS, law, ring, Wiring(noise_db=30, offset=2.5, drift=0.1), seed=1)

    found = pulses_of(SECONDS, volts)

    [odd] = found.ring.odd
    assert odd.kind == ("damaged" if height else "missing")
    assert odd.height == pytest.approx(height, abs=0.05)
    assert _apart(place_of(found, law, odd.number), tooth) < 0.75
    assert odd.degrees == pytest.approx((odd.number - 1) * 7.5)
    assert not found.drop_outs.silent


def test_two_bad_teeth_keep_their_distance() -> None:
    volts = passive(SECONDS, changing(6, 12, 4), Ring(48, {5: 0.0, 22: 0.5}), Wiring(noise_db=25))

    first, second = pulses_of(SECONDS, volts).ring.odd

    assert second.number - first.number in (17, -31)
    assert {first.kind, second.kind} == {"missing", "damaged"}


def test_a_piece_broken_out() -> None:
    broken = dict.fromkeys(range(10, 15), 0.0)
    volts = passive(SECONDS, changing(6, 12, 4), Ring(48, broken), Wiring(noise_db=30))

    found = pulses_of(SECONDS, volts)

    assert [odd.kind for odd in found.ring.odd] == ["missing"] * 5
    assert not found.drop_outs.silent


def test_a_ring_of_an_active_sensor() -> None:
    volts = active(SECONDS, changing(6, 12, 4), Ring(44, {9: 0.0}), Wiring(noise_db=30))

    found = pulses_of(SECONDS, volts, Sensor.CURRENT, teeth=44)

    assert [odd.kind for odd in found.ring.odd] == ["missing"]


def test_a_drop_out_does_not_move_the_place() -> None:
    """The count over a long gap is a guess: the pattern before and after is laid over itself."""
    law = changing(11, 9, 4)
    wiring = Wiring(noise_db=25, gaps=((1.0, 1.9), (2.5, 2.7)))

    found = pulses_of(SECONDS, passive(SECONDS, law, Ring(48, {30: 0.0}), wiring))

    [odd] = found.ring.odd
    assert odd.kind == "missing"
    assert _apart(place_of(found, law, odd.number), 30) < 0.75
    assert len(found.drop_outs.silent) == 2


def test_the_number_of_teeth_is_inferred_from_a_pattern() -> None:
    volts = passive(SECONDS, changing(6, 12, 4), Ring(47, {9: 0.0}), Wiring(noise_db=20))

    found = pulses_of(SECONDS, volts, teeth=None)

    assert found.ring.teeth == 47
    assert found.ring.inferred
    assert [odd.kind for odd in found.ring.odd] == ["missing"]


def test_without_a_pattern_there_is_no_place() -> None:
    found = pulses_of(SECONDS, passive(SECONDS, steady(8), SOUND, Wiring(noise_db=20)), teeth=None)

    assert found.ring.teeth is None
    assert "nothing can be given a place" in found.ring.reason


@pytest.mark.parametrize("given", [43, 44, 48, 24, 60])
def test_a_pattern_goes_before_a_wrong_number_of_teeth(given: int) -> None:
    law = changing(6, 12, 4)
    volts = passive(SECONDS, law, Ring(47, {9: 0.0}), Wiring(noise_db=25))

    found = pulses_of(SECONDS, volts, teeth=given)

    assert found.ring.teeth == 47
    assert found.ring.contradicts
    [odd] = found.ring.odd
    assert odd.kind == "missing"
    assert _apart(place_of(found, law, odd.number, 47), 9, 47) < 0.75
    assert not found.drop_outs.silent


@pytest.mark.parametrize("seed", range(12))
def test_gaps_at_random_make_no_ring(seed: int) -> None:
    """Two gaps have a distance, too: it is no number of teeth."""
    begins = np.random.default_rng(seed).uniform(0.3, 3.7, 3)
    gaps = tuple((float(begin), float(begin) + 0.006) for begin in np.sort(begins))
    volts = passive(SECONDS, steady(8), SOUND, Wiring(noise_db=30, gaps=gaps), seed=seed)

    for teeth in (None, 44, 48):
        found = pulses_of(SECONDS, volts, teeth=teeth)
        assert found.ring.odd == ()
        assert found.ring.teeth == teeth
        assert found.drop_outs.silent


def test_less_than_two_turns_say_so() -> None:
    seconds = times(3000, 0.15)

    found = pulses_of(seconds, passive(seconds, steady(10), Ring(48, {20: 0.0})))

    assert found.ring.odd == ()
    assert "at least 2 are needed" in found.ring.reason
    assert isinstance(found.height_wave, str)


# ---- once a turn ----


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
@pytest.mark.parametrize("size", [0.03, 0.2])
def test_a_wave_of_the_height(law: Law, size: float) -> None:
    volts = passive(SECONDS, law, Ring(48, height_wave=size), Wiring(noise_db=25), seed=2)

    found = pulses_of(SECONDS, volts)

    assert isinstance(found.height_wave, OncePerTurn)
    assert found.height_wave.found
    assert found.height_wave.size == pytest.approx(size, rel=0.1)
    assert found.height_wave.steadiness > 0.9
    assert isinstance(found.pitch_wave, OncePerTurn)
    assert not found.pitch_wave.found


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
def test_a_wave_of_the_pitch(law: Law) -> None:
    """The height per hertz stays: a coil gives more volts only because the teeth come faster."""
    volts = passive(SECONDS, law, Ring(48, pitch_wave=0.03), Wiring(noise_db=25), seed=2)

    found = pulses_of(SECONDS, volts)

    assert isinstance(found.pitch_wave, OncePerTurn)
    assert found.pitch_wave.found
    assert found.pitch_wave.size == pytest.approx(0.03, rel=0.05)
    assert isinstance(found.height_wave, OncePerTurn)
    assert found.height_wave.size < 0.005


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
def test_no_wave_is_found_where_none_is(law: Law) -> None:
    found = pulses_of(SECONDS, passive(SECONDS, law, SOUND, Wiring(noise_db=20), seed=4))

    for wave in (found.height_wave, found.pitch_wave):
        assert isinstance(wave, OncePerTurn)
        assert not wave.found


def test_the_wave_is_the_first_harmonic() -> None:
    """Over whole turns at an even speed: numpy's Fourier component at one a turn."""
    volts = passive(SECONDS, steady(8), Ring(48, height_wave=0.05), Wiring(noise_db=40))

    found = pulses_of(SECONDS, volts)

    height = found.heights.height
    turns = height.size // 48
    spectrum = np.fft.rfft(height[: turns * 48])
    assert isinstance(found.height_wave, OncePerTurn)
    assert found.height_wave.size == pytest.approx(
        2 * abs(spectrum[turns]) / abs(spectrum[0]), rel=0.02
    )


def test_a_wandering_wave_is_less_steady() -> None:
    """Two beats a little off one a turn, as a loose bearing gives: its place wanders."""
    random = np.random.default_rng(8)
    turns = steady(8)(SECONDS)
    place = np.interp(turns, np.arange(34), np.cumsum(random.normal(0, 1.2, 34)))
    wave = 1 + 0.1 * np.cos(2 * np.pi * turns + place)
    volts = wave * passive(SECONDS, steady(8), SOUND, Wiring(noise_db=35))

    found = pulses_of(SECONDS, volts)

    assert isinstance(found.height_wave, OncePerTurn)
    assert found.height_wave.steadiness < 0.7 or not found.height_wave.found
