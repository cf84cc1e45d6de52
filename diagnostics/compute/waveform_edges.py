"""Where a pulse train crosses its own middle, by a threshold that follows its height. Pure.

Two passes. The first looks for tops and bottoms that stand clear of the noise, which gives the
local period whatever the speed does. The second smooths over a share of that period, follows the
middle and the height of the signal tooth by tooth, and takes as an edge only what goes from one
side of a dead band to the other. Own method; a threshold with hysteresis that adapts to the
signal's height is how speed sensors are read in general (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform_arrays import (
    Numbers,
    Places,
    noise_level,
    running_median,
    smoothed,
    spread_out,
    turning_points,
)

LEAST_SAMPLES = 8
SAMPLES_A_PERIOD = 5
"""Below this many samples a tooth the shape between them is anybody's guess."""

_BLOCKS = 256
# All as shares or multiples; common practice, no source.
_OF_RANGE, _OF_WHOLE, _NOISES, _STEPS = 0.35, 0.005, 7.0, 3.0
_DEAD_BAND, _WIDEST_BAND, _BAND_NOISES = 0.25, 0.36, 3.3
_FINE_DB, _CLEAN_DB = 26.0, 40.0
_FINE_WINDOW, _WIDE_WINDOW = 0.125, 0.3
_CLIPPED_SHARE = 0.08
_NOWHERE: Places = np.zeros(0, dtype=np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """The crossings of one channel.

    rising, falling: places in samples, with fractions, in order. smooth, middle, swing: (n,), the
    signal as it was judged, its local middle and its local peak-to-peak height, in volts; empty
    when no pulses were found. half: (n,) samples to either side of which `smooth` is the mean,
    empty when it is the signal itself. noise: volts rms of the raw samples; left: of the smoothed
    ones. window: share of a period that was smoothed over, 0 for none. clipped: whether the signal
    stands at its own limits like one that was cut off. reason: how far this came, a sentence.
    """

    rising: Numbers
    falling: Numbers
    smooth: Numbers
    middle: Numbers
    swing: Numbers
    half: Places
    noise: float
    left: float
    window: float
    clipped: bool
    reason: str

    @property
    def found(self) -> int:
        return int(max(self.rising.size, self.falling.size))


def find_edges(volts: Numbers) -> Edges:
    """The edges of a signal of any offset, drift, polarity and pace.

    volts: (n,) finite. Never raises for what a signal looks like: without pulses the arrays are
    empty and the reason says why. Places are by straight lines between the samples. A sine
    smoothed over the share w of its period loses sin(pi w) / (pi w) of its height; `restore` in
    `waveform_teeth` puts that back.
    """
    if volts.size < LEAST_SAMPLES:
        return _nothing(0.0, f"The capture holds {volts.size} samples: too few to find a pulse in.")
    noise = noise_level(volts)
    whole = float(np.ptp(volts))
    if whole <= 1e-12 * max(1.0, float(np.abs(volts).max())):
        return _nothing(noise, "The signal is a flat line: no pulse was found.")
    first = turning_points(volts, _least_swing(volts, noise, whole))
    if first.size < 4:
        return _nothing(noise, _why_none(noise, whole))
    if first.size > 2 * volts.size / SAMPLES_A_PERIOD:
        return _nothing(
            noise,
            f"There are fewer than {SAMPLES_A_PERIOD} samples to a pulse, or nothing but noise: "
            "capture again with a faster time base or nearer to the sensor.",
        )
    period, swing = _period_and_swing(volts, first)
    window = _window(float(np.median(np.abs(np.diff(volts[first])))), noise)
    half = _half_width(period, window, volts.size)
    smooth, left = volts, noise
    if half.size:
        smooth = smoothed(volts, half)
        left = noise / (2 * float(np.median(half)) + 1) ** 0.5
    second = turning_points(smooth, np.maximum(_OF_RANGE * swing, min(_NOISES * left, whole / 4)))
    if second.size < 4:
        return _nothing(noise, _why_none(noise, whole))
    middle, swing = _middle_and_swing(smooth, second)
    rising, falling = _crossings(smooth - middle, swing, left)
    if max(rising.size, falling.size) < 1:
        return _nothing(noise, _why_none(noise, whole))
    return Edges(
        rising=rising,
        falling=falling,
        smooth=smooth,
        middle=middle,
        swing=swing,
        half=half,
        noise=noise,
        left=left,
        window=window,
        clipped=_is_clipped(volts, first),
        reason=f"{max(rising.size, falling.size)} pulses were found.",
    )


def _nothing(noise: float, reason: str) -> Edges:
    none = np.zeros(0)
    return Edges(none, none, none, none, none, _NOWHERE, noise, noise, 0.0, False, reason)


def _why_none(noise: float, whole: float) -> str:
    if noise > 0 and whole < 14 * noise:
        return "Nothing stands clear of the noise: no pulse was found."
    return "The signal does not go up and down often enough to be pulses."


def _least_swing(volts: Numbers, noise: float, whole: float) -> Numbers:
    """How far the signal must swing at each sample to count in the first pass."""
    blocks = min(_BLOCKS, max(1, volts.size // 32))
    starts = (np.arange(blocks) * volts.size) // blocks
    ranges = np.maximum.reduceat(volts, starts) - np.minimum.reduceat(volts, starts)
    few = np.sort(volts[:: max(1, volts.size // 4096)])
    steps = np.diff(few)
    step = float(steps[steps > 1e-9 * whole].min(initial=whole))
    # A coarse converter repeats its values; one that does not has no step to speak of.
    step = step if np.count_nonzero(steps <= 1e-9 * whole) > few.size / 4 else 0.0
    floor = min(max(_OF_WHOLE * whole, _NOISES * noise, _STEPS * step), whole / 2)
    least = np.maximum(_OF_RANGE * running_median(ranges), floor)
    return np.repeat(least, np.diff(np.append(starts, volts.size)))


def _period_and_swing(volts: Numbers, places: Places) -> tuple[Numbers, Numbers]:
    """Local period in samples and local height in volts, at every sample."""
    # Ends of the capture are no turning points of the signal's own.
    inner = places[1:-1] if places.size > 6 else places
    full = (inner[2:] - inner[:-2]).astype(np.float64)
    period = spread_out(inner[1:-1].astype(np.float64), running_median(full), volts.size)
    height = running_median(np.abs(np.diff(volts[inner])))
    return period, spread_out((inner[1:] + inner[:-1]) / 2, height, volts.size)


def _window(swing: float, noise: float) -> float:
    """The share of a period to smooth over: none for a clean signal, which it would only round."""
    if noise <= 0:
        return 0.0
    clear = 20 * np.log10(swing / (8**0.5 * noise))
    if clear > _CLEAN_DB:
        return 0.0
    return _FINE_WINDOW if clear > _FINE_DB else _WIDE_WINDOW


def _half_width(period: Numbers, window: float, count: int) -> Places:
    if not window:
        return _NOWHERE
    half = np.rint((window * period - 1) / 2).astype(np.intp)
    return np.asarray(np.clip(half, 0, count // 4), dtype=np.intp)


def _middle_and_swing(smooth: Numbers, places: Places) -> tuple[Numbers, Numbers]:
    inner = places[1:-1] if places.size > 6 else places
    tops = smooth[inner]
    between = (inner[1:] + inner[:-1]) / 2
    middle = running_median((tops[1:] + tops[:-1]) / 2)
    swing = running_median(np.abs(np.diff(tops)))
    return (
        spread_out(between, middle, smooth.size),
        spread_out(between, swing, smooth.size),
    )


def _crossings(apart: Numbers, swing: Numbers, left: float) -> tuple[Numbers, Numbers]:
    """Rising and falling crossings of nought that go right across the dead band."""
    half = swing / 2
    band = np.clip(_BAND_NOISES * left, _DEAD_BAND * half, _WIDEST_BAND * half)
    outside = np.flatnonzero(np.abs(apart) > band)
    above = apart[outside] > 0
    flips = np.flatnonzero(above[1:] != above[:-1])
    after = outside[flips + 1]
    upward = above[flips + 1]
    positive = apart > 0
    signs = np.flatnonzero(positive[1:] != positive[:-1])
    # The last change of sign before the far side: after a missing tooth, the next one's start.
    last = signs[np.searchsorted(signs, after, side="left") - 1]
    places = last + apart[last] / (apart[last] - apart[last + 1])
    return places[upward], places[~upward]


def _is_clipped(volts: Numbers, places: Places) -> bool:
    """Whether many samples stand exactly at the highest or lowest value, in a signal that is not
    two levels anyway. A sine has one sample in twenty-five within a 128th of its top."""
    low, high = float(volts.min()), float(volts.max())
    ends = [np.count_nonzero(volts == end) / volts.size for end in (low, high)]
    inside = np.count_nonzero(
        (volts > low + 0.1 * (high - low)) & (volts < high - 0.1 * (high - low))
    )
    return bool(max(ends) > _CLIPPED_SHARE and inside > 0.15 * volts.size and places.size > 6)
