"""Seeded signals with one known fault each, and whether the analysis finds it: one trial a seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform import Pulses, Sensor, analyse
from diagnostics.compute.waveform_modulation import OncePerTurn
from tests.waves import Law, Ring, Wiring, changing, passive, times

TEETH, SAMPLES_A_TOOTH = 48, 20
FAULTS = ("none", "missing tooth", "half-height tooth", "3 % once a turn", "drop-outs")
NOISES = (20, 10)
WAVE = 0.03
_GAP_TEETH = (4.0, 60.0)


@dataclass(frozen=True, slots=True)
class Trial:
    """What one seed gave.

    found: the planted fault, of the right kind and at its place (every drop-out, for drop-outs);
    for "none": nothing at all was said. placed: something was found at the place, whatever it was
    called. tooth, silence, height, pitch, stray: what was found and had not been planted: a tooth,
    a drop-out, a wave of the height, a wave of the pitch, pulses too many. size: of the height's
    wave, nan where it could not be told.
    """

    found: bool
    placed: bool
    tooth: bool
    silence: bool
    height: bool
    pitch: bool
    stray: bool
    size: float


@dataclass(frozen=True, slots=True)
class _Planted:
    seconds: np.ndarray
    volts: np.ndarray
    law: Law
    tooth: int
    gaps: tuple[tuple[float, float], ...]


def run(fault: str, noise_db: float, seed: int) -> Trial:
    """20 to 40 turns of 48 teeth, 20 samples a tooth on the mean, the speed changing evenly by up
    to half, either polarity, any offset."""
    planted = _plant(fault, noise_db, np.random.default_rng(seed))
    waveform = analyse(planted.seconds, planted.volts, Sensor.COIL, teeth=TEETH)
    if waveform.pulses is None:
        return Trial(False, False, False, False, False, False, False, float("nan"))
    return _judged(fault, planted, waveform.pulses)


def _plant(fault: str, noise_db: float, random: np.random.Generator) -> _Planted:
    turns = int(random.integers(20, 41))
    first = random.uniform(5, 10)
    last = first * random.uniform(2 / 3, 3 / 2)
    lasts = turns / ((first + last) / 2)
    law = changing(first, last, lasts)
    seconds = times(turns * TEETH * SAMPLES_A_TOOTH, lasts)
    tooth = int(random.integers(TEETH))
    gaps = _gaps(random, lasts, TEETH * (first + last) / 2) if fault == "drop-outs" else ()
    heights = {"missing tooth": {tooth: 0.0}, "half-height tooth": {tooth: 0.5}}.get(fault, {})
    ring = Ring(TEETH, heights, height_wave=WAVE if fault == "3 % once a turn" else 0.0)
    wiring = Wiring(gaps=gaps, noise_db=noise_db, offset=random.uniform(-2, 2))
    volts = passive(seconds, law, ring, wiring, seed=int(random.integers(2**31)))
    return _Planted(seconds, volts * random.choice([-1.0, 1.0]), law, tooth, gaps)


def _gaps(
    random: np.random.Generator, lasts: float, hertz: float
) -> tuple[tuple[float, float], ...]:
    """One to three gaps of 4 to 60 teeth, each in its own part of the capture."""
    count = int(random.integers(1, 4))
    part = 0.8 * lasts / count
    found = []
    for k in range(count):
        long = random.uniform(*_GAP_TEETH) / hertz
        begin = 0.1 * lasts + k * part + random.uniform(0, part - 1.5 * long)
        found.append((begin, begin + long))
    return tuple(found)


def _judged(fault: str, planted: _Planted, pulses: Pulses) -> Trial:
    kind = {"missing tooth": "missing", "half-height tooth": "damaged"}.get(fault)
    odds = pulses.ring.odd
    here = [kind is not None and _is_planted(pulses, odd.number - 1, planted) for odd in odds]
    at_place = {odd.kind for odd, there in zip(odds, here, strict=True) if there}
    elsewhere = len(odds) - sum(here)
    silent = [(one.begin, one.end) for one in pulses.drop_outs.silent]
    caught = [any(b < end and e > begin for b, e in silent) for begin, end in planted.gaps]
    foreign = [not any(b < end and e > begin for begin, end in planted.gaps) for b, e in silent]
    height, pitch = pulses.height_wave, pulses.pitch_wave
    waves = isinstance(height, OncePerTurn) and height.found
    stray = pulses.train.spurious > 0
    shakes = isinstance(pitch, OncePerTurn) and pitch.found
    quiet = not (elsewhere or any(foreign) or waves or shakes or stray)
    found = {
        "none": quiet,
        "3 % once a turn": waves,
        "drop-outs": bool(caught) and all(caught),
    }.get(fault, kind in at_place)
    return Trial(
        found=found,
        placed=bool(at_place) or (kind is None and found),
        tooth=elsewhere > 0,
        silence=any(foreign),
        height=waves and fault != "3 % once a turn",
        pitch=shakes,
        stray=stray,
        size=height.size if isinstance(height, OncePerTurn) else float("nan"),
    )


def _is_planted(pulses: Pulses, place: int, planted: _Planted) -> bool:
    """Whether the teeth counted at this place pass the sensor when the planted one does.

    A pulse stands for the tooth that begins or is half past there, as its edge has it.
    """
    at = pulses.heights.seconds[pulses.ring.places == place]
    apart = (planted.law(at) * TEETH - planted.tooth - 0.25 + TEETH / 2) % TEETH - TEETH / 2
    return bool(np.abs(np.median(apart)) < 0.75)
