"""How high the signal stands at each tooth, and how far it is from its noise. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers, Places, running_median
from diagnostics.compute.waveform_edges import Edges
from diagnostics.compute.waveform_teeth import MOST_BROKEN, Train, restore, teeth_in

_OVER_DB = 60.0
_LATTICE_CAP = 4
_HIGHEST_RATIO = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Heights:
    """For every tooth that should have passed, with or without a pulse.

    numbers: (k,) 0, 1, 2... seconds: (k,) when each passed, and period: (k,) how long it took,
    both in between where there was no pulse. height: (k,) volts, peak to peak of the sine with
    the same power, noise taken off: nought where there was no pulse. ratio: (k,) height over the
    local median. swing: (m - 1,) highest minus lowest between the train's pulses, volts.
    noise_db: signal to noise, rms to rms, None where there is nothing to compare; it is capped
    at 60 dB, beyond which the converter's steps decide.
    """

    numbers: Places
    seconds: Numbers
    period: Numbers
    height: Numbers
    ratio: Numbers
    swing: Numbers
    noise_db: float | None


def measure_heights(volts: Numbers, edges: Edges, train: Train, *, sine: bool) -> Heights:
    """The height at each tooth. `sine`: a coil's signal, whose smoothed height is put right.

    By power instead of by the highest sample: all samples of a tooth count, so that noise
    averages out and it does not matter where the samples fall. A tooth begins where the signal
    crosses its middle one way or the other; the way in which single teeth differ more is taken,
    since the other one mixes neighbours.
    """
    count = int(train.numbers[-1])
    # A bad guess over a long silence must not make millions of teeth.
    count = min(count, _LATTICE_CAP * train.places.size + 4096)
    lattice = np.arange(count + 1)
    marks = np.interp(lattice, train.numbers, train.places)
    apart = volts - edges.middle
    sums = np.concatenate([[0.0], np.cumsum(apart)])
    squares = np.concatenate([[0.0], np.cumsum(apart * apart)])
    same = _height(sums, squares, marks, edges.noise)
    other_marks = marks[:-1] + _share(edges, train) * np.diff(marks)
    between = _height(sums, squares, other_marks, edges.noise)
    other = np.concatenate([between[:1], between]) if between.size else same
    height, ratio = same, _to_neighbours(same)
    other_ratio = _to_neighbours(other)
    told = ~teeth_in(train, train.gaps.missing > MOST_BROKEN, count)
    if _spread(other_ratio[told]) > 1.05 * _spread(ratio[told]):
        height, ratio = other, other_ratio
    seconds = np.interp(lattice, train.numbers, train.seconds)
    factor = restore(edges.window) if sine else 1.0
    return Heights(
        numbers=lattice[:-1],
        seconds=seconds[:-1],
        period=np.maximum(np.diff(seconds), 1e-12),
        height=height,
        ratio=ratio,
        swing=factor * _swing(edges.smooth, train.places),
        noise_db=_noise_db(height, edges.noise),
    )


def _spread(ratio: Numbers) -> float:
    return float(np.sum((ratio - 1) ** 2))


def _height(sums: Numbers, squares: Numbers, marks: Numbers, noise: float) -> Numbers:
    starts = np.clip(np.ceil(marks).astype(np.intp), 0, sums.size - 1)
    count = np.maximum(np.diff(starts), 1)
    mean = np.diff(sums[starts]) / count
    power = np.diff(squares[starts]) / count - mean**2 - noise**2
    return np.asarray(8**0.5 * np.sqrt(np.maximum(power, 0.0)), dtype=np.float64)


def _share(edges: Edges, train: Train) -> float:
    """Where in its interval the edge of the other direction lies, as a share."""
    other = edges.falling if train.upward else edges.rising
    if not other.size:
        return 0.5
    following = np.searchsorted(other, train.places[:-1])
    inside = following < other.size
    apart = other[np.minimum(following, other.size - 1)] - train.places[:-1]
    share = (apart / np.diff(train.places))[inside & (np.diff(train.numbers) == 1)]
    share = share[(share > 0) & (share < 1)]
    return float(np.median(share)) if share.size else 0.5


def _to_neighbours(height: Numbers) -> Numbers:
    ratio = height / np.maximum(running_median(height), 1e-300)
    # In a silence one noise stands beside another: that is no high tooth.
    return np.asarray(np.minimum(ratio, _HIGHEST_RATIO), dtype=np.float64)


def _swing(smooth: Numbers, places: Numbers) -> Numbers:
    starts = np.ceil(places).astype(np.intp)
    part = smooth[: starts[-1] + 1]
    high = np.maximum.reduceat(part, starts[:-1])
    low = np.minimum.reduceat(part, starts[:-1])
    return np.asarray(high - low, dtype=np.float64)


def _noise_db(height: Numbers, noise: float) -> float | None:
    if not height.size:
        return None
    power = float(np.mean(height**2)) / 8
    if power <= 0:
        return None
    if noise <= 0:
        return _OVER_DB
    return min(_OVER_DB, 10 * float(np.log10(power / noise**2)))
