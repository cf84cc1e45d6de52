"""Wheel-speed signals with known faults, made from a seed: what an analysis is checked against.

A wheel turns by a known law of speed; its ring passes a sensor. A passive sensor gives a sine
whose height grows with the speed, an active one two levels. Every fault is put in at a known
place, so that the truth is known beside the samples.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from diagnostics.captures import Samples
from diagnostics.compute.waveform_arrays import Numbers

Law = Callable[[Numbers], Numbers]


@dataclass(frozen=True, slots=True)
class Ring:
    """A tooth ring and what is wrong with it.

    heights: height of single teeth by their number, 0 for missing, 1 for sound.
    height_wave, pitch_wave: once-per-turn change of height and of pitch, as ratios.
    """

    teeth: int = 48
    heights: Mapping[int, float] = field(default_factory=dict)
    height_wave: float = 0.0
    pitch_wave: float = 0.0


@dataclass(frozen=True, slots=True)
class Wiring:
    """What lies between sensor and instrument.

    gaps: (begin, end) in seconds in which the circuit is open. noise_db: signal to noise, None for
    none. offset, drift: volts, and volts a second. bits: of the converter, 0 for none.
    """

    gaps: tuple[tuple[float, float], ...] = ()
    noise_db: float | None = None
    offset: float = 0.0
    drift: float = 0.0
    bits: int = 0


SOUND, WHOLE = Ring(), Wiring()


def steady(turns_a_second: float) -> Law:
    """Turns gone after so many seconds at one speed."""
    return lambda seconds: np.asarray(turns_a_second * seconds, dtype=np.float64)


def changing(first: float, last: float, seconds: float) -> Law:
    """Turns gone when the speed goes evenly from `first` to `last` turns a second, then stays."""
    rate = (last - first) / seconds

    def turns(at: Numbers) -> Numbers:
        within = np.minimum(at, seconds)
        gone = first * within + rate * within**2 / 2 + last * (at - within)
        return np.asarray(gone, dtype=np.float64)

    return turns


def times(count: int, seconds: float, *, uneven: float = 0.0, seed: int = 0) -> Numbers:
    """`count` instants over `seconds`; `uneven` shifts each by up to that share of half a step."""
    step = seconds / count
    even = np.asarray(np.arange(count) * step, dtype=np.float64)
    if not uneven:
        return even
    shift = np.random.default_rng(seed).uniform(-0.5, 0.5, count) * step * uneven
    return np.asarray(even + shift, dtype=np.float64)


def passive(
    seconds: Numbers,
    law: Law,
    ring: Ring = SOUND,
    wiring: Wiring = WHOLE,
    *,
    seed: int = 0,
    volts_per_hertz: float = 0.002,
) -> Numbers:
    """Volts of a coil sensor: half of the peak-to-peak height is `volts_per_hertz` times hertz."""
    turns = law(seconds)
    speed = np.gradient(turns, seconds)
    angle = 2 * np.pi * turns
    # The pitch wave shifts the teeth: their rate of passing changes by `pitch_wave` once a turn.
    phase = ring.teeth * (turns + ring.pitch_wave * np.sin(angle) / (2 * np.pi))
    rate = ring.teeth * speed * (1 + ring.pitch_wave * np.cos(angle))
    height = volts_per_hertz * rate * (1 + ring.height_wave * np.cos(angle + 1.0))
    clean = height * _heights(ring)[np.floor(phase).astype(np.intp) % ring.teeth]
    clean = clean * np.sin(2 * np.pi * phase)
    return _wired(clean, seconds, wiring, np.random.default_rng(seed), open_level=0.0)


def active(
    seconds: Numbers,
    law: Law,
    ring: Ring = SOUND,
    wiring: Wiring = WHOLE,
    *,
    seed: int = 0,
    low: float = 0.7,
    high: float = 1.4,
    duty: float = 0.5,
    open_level: float = 0.0,
) -> Numbers:
    """Volts of a two-level sensor across its resistor; a tooth of height nought gives no pulse."""
    turns = law(seconds)
    phase = ring.teeth * (turns + ring.pitch_wave * np.sin(2 * np.pi * turns) / (2 * np.pi))
    there = _heights(ring)[np.floor(phase).astype(np.intp) % ring.teeth] > 0.4
    clean = np.where((phase % 1 < duty) & there, high, low)
    return _wired(clean, seconds, wiring, np.random.default_rng(seed), open_level=open_level)


def _heights(ring: Ring) -> Numbers:
    heights = np.ones(ring.teeth)
    for tooth, height in ring.heights.items():
        heights[tooth] = height
    return heights


def _wired(
    clean: Numbers,
    seconds: Numbers,
    wiring: Wiring,
    random: np.random.Generator,
    *,
    open_level: float,
) -> Numbers:
    power = float(np.std(clean))
    volts = clean.copy()
    for begin, end in wiring.gaps:
        volts[(seconds >= begin) & (seconds < end)] = open_level
    if wiring.noise_db is not None:
        volts += random.normal(0, power / 10 ** (wiring.noise_db / 20), volts.size)
    volts += wiring.offset + wiring.drift * seconds
    if wiring.bits:
        span = float(np.abs(volts).max()) * 2.2
        step = span / 2**wiring.bits
        volts = np.rint(volts / step) * step
    return volts


def samples(seconds: Numbers, *channels: Numbers, names: tuple[str, ...] = ()) -> Samples:
    """The channels as a capture read from a file."""
    named = names or tuple(f"Channel {k + 1}" for k in range(len(channels)))
    return Samples(seconds, np.vstack(channels), named, ("V",) * len(channels))
