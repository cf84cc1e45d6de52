"""Plain arrays for the waveform: medians, noise, smoothing, turning points. Pure.

Everything here is one pass of whole-array arithmetic after another, so that a million samples
cost a fraction of a second.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Places = NDArray[np.intp]

# Orders of differences, and how the variance of white noise grows in them: the fourth has
# 1 + 16 + 36 + 16 + 1 times that of the samples.
_DIFFERENCES = ((1, 2), (2, 6), (4, 70))
# 30 % of normally distributed values are closer to nought than this many standard deviations.
_SHARE, _SHARE_AT = 0.3, 0.38532
_NOISE_CHUNKS, _NOISE_CHUNK = 8, 16_384
_MOST_ROUNDS = 200

# Exchanges that leave the median of nine in the fifth place (A. W. Paeth, Graphics Gems, 1990,
# from memory; the tests hold it against numpy.median).
_NINE = (
    *((1, 2), (4, 5), (7, 8), (0, 1), (3, 4), (6, 7), (1, 2), (4, 5), (7, 8), (0, 3)),
    *((5, 8), (4, 7), (3, 6), (1, 4), (2, 5), (4, 7), (4, 2), (6, 4), (4, 2)),
)


def running_median(values: Numbers) -> Numbers:
    """The median of each value and its four neighbours to either side, mirrored at the ends.

    With fewer than nine values: the median of all of them, everywhere.
    """
    if values.size < 9:
        return np.full_like(values, np.median(values)) if values.size else values.copy()
    padded = np.concatenate([values[4:0:-1], values, values[-2:-6:-1]])
    lanes = [padded[k : k + values.size].copy() for k in range(9)]
    for one, other in _NINE:
        low = np.minimum(lanes[one], lanes[other])
        np.maximum(lanes[one], lanes[other], out=lanes[other])
        lanes[one] = low
    return lanes[4]


def noise_level(values: Numbers) -> float:
    """Standard deviation of the noise from sample to sample, in the unit of the values.

    From differences of the first, second and fourth order, the lowest of the three: a signal of
    ten samples a period and more all but vanishes in the fourth, and a step between two levels
    touches fewest samples in the first. By a low quantile, which such steps do not reach. White
    noise is taken for granted: hum and slow drift do not count as noise here.
    """
    if values.size < 8:
        return 0.0
    if values.size > 2 * _NOISE_CHUNKS * _NOISE_CHUNK:
        starts = np.linspace(0, values.size - _NOISE_CHUNK, _NOISE_CHUNKS).astype(np.intp)
        values = values[starts[:, None] + np.arange(_NOISE_CHUNK)]
    found: list[float] = []
    for order, growth in _DIFFERENCES:
        apart = np.abs(np.diff(values, n=order, axis=-1)).ravel()
        at = int(_SHARE * apart.size)
        found.append(float(np.partition(apart, at)[at]) / (_SHARE_AT * math.sqrt(growth)))
    return min(found)


def smoothed(values: Numbers, half: Places) -> Numbers:
    """The mean over `half` samples to either side, a width of its own for each sample.

    The window stays symmetrical by growing narrower towards both ends.
    """
    place = np.arange(values.size)
    half = np.minimum(half, np.minimum(place, values.size - 1 - place))
    start = float(values[0]) if values.size else 0.0
    total = np.concatenate([[0.0], np.cumsum(values - start)])
    mean = (total[place + half + 1] - total[place - half]) / (2 * half + 1) + start
    return np.asarray(mean, dtype=np.float64)


def spread_out(places: Numbers, values: Numbers, count: int) -> Numbers:
    """Values known at some (fractional) sample places, in straight lines over all `count`."""
    return np.interp(np.arange(count, dtype=np.float64), places, values)


def turning_points(values: Numbers, least: Numbers) -> Places:
    """Places at which the signal turns back by at least `least` (one height for each sample).

    The smallest swings are taken out first, a whole layer of them at a time, until those that
    remain are high enough: what is left are the tops and bottoms in turn, whatever offset and
    drift they ride on and however fast they follow each other. Empty when nothing swings so far.
    """
    moves = np.flatnonzero(np.diff(values))
    if not moves.size:
        return np.zeros(0, dtype=np.intp)
    rises = values[moves + 1] > values[moves]
    turns = moves[1:][rises[1:] != rises[:-1]]
    places = np.concatenate([[0], turns, [values.size - 1]]).astype(np.intp)
    for _ in range(_MOST_ROUNDS):
        swing = np.abs(np.diff(values[places]))
        small = swing < np.minimum(least[places[:-1]], least[places[1:]])
        if not small.any():
            break
        wall = np.concatenate([[np.inf], swing, [np.inf]])
        chosen = np.flatnonzero(small & (swing <= wall[:-2]) & (swing < wall[2:]))
        if not chosen.size:
            break
        keep = np.ones(places.size, dtype=bool)
        # A small swing at either end loses only its outer point: the inner one may yet be a top.
        keep[chosen[chosen > 0]] = False
        keep[chosen[chosen < swing.size - 1] + 1] = False
        if chosen[0] == 0:
            keep[0], keep[1] = False, True
        if chosen[-1] == swing.size - 1:
            keep[-1], keep[-2] = False, True
        places = places[keep]
        if places.size < 2:
            return np.zeros(0, dtype=np.intp)
    return places


def thinned(x: Numbers, y: Numbers, most: int = 1500) -> tuple[tuple[float, float], ...]:
    """At most `most` points of a line, with the lowest and highest of every stretch kept.

    x: increasing. So that a single missing pulse among thousands stays to be seen.
    """
    if x.size <= most:
        return tuple(zip(x.tolist(), y.tolist(), strict=True))
    starts = (np.arange(most // 2) * x.size) // (most // 2)
    ends = np.append(starts[1:], x.size)
    width = int((ends - starts).max())
    places = np.minimum(starts[:, None] + np.arange(width), ends[:, None] - 1)
    part = y[places]
    rows = np.arange(starts.size)
    chosen = np.stack([places[rows, part.argmin(axis=1)], places[rows, part.argmax(axis=1)]])
    kept = np.unique(chosen)
    return tuple(zip(x[kept].tolist(), y[kept].tolist(), strict=True))
