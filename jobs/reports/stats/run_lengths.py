"""How long a watch goes on until it calls, on average, with or without a change. Pure.

The watch is that of jobs.reports.stats.cusum. Measured in exposure, failures at a steady rate come
as an even stream however the fleet grows or shrinks, so the watch looked at after every failure has
one law, in `call_gap`: the number of failures between calls depends on h and on k over the rate
alone. Looked at by the day or by the month, S is never higher than that at the end of a step, so
false calls are no more frequent than promised. Only the turn into months takes the exposure of a
month as it is now; this is an approximation. `average_run_length` is the law of the chart
with equal steps, as Lucas tabled it.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

import numpy as np

from jobs import poisson

_ROUNDING = 1e-9
_FINEST = 240  # the lattice of a chart with equal steps has at most so many points to one count
# Points to one failure, where the watch is looked at after every failure. With the finer the error
# is below 0.1 %, with the coarser, for a high h, below 1 %.
_GRID, _COARSE_GRID, _POINTS = 48, 16, 340


def average_run_length(k: float, h: float, mean: float, start: float = 0.0) -> float:
    """Steps until the call on average, with Poisson counts of `mean` a step, by a Markov chain.

    k and h are put on a common lattice, as near as 1/240: exact when both are multiples of such a
    fraction. Raises ValueError unless k, h and mean are above nought and 0 <= start < h.
    """
    _check_chart(k, h, mean, start)
    fine = _lattice(k)
    down, top = round(k * fine), math.ceil(h * fine - _ROUNDING)
    chances = _chances(mean, (top + down) // fine)
    moves = np.zeros((top, top))
    for state in range(top):
        for count, chance in enumerate(chances):
            lands = max(0, state + count * fine - down)
            if lands < top:
                moves[state, lands] += chance
    lengths = np.linalg.solve(np.eye(top) - moves, np.ones(top))
    return float(lengths[min(top - 1, round(start * fine))])


@lru_cache(maxsize=1024)
def call_gap(ratio: float, h: float) -> float:
    """Failures until the call on average, beginning with S = 0, looked at after every failure.

    ratio: k over the rate at which failures come: what S loses between two failures on average.
    After a failure S = s; before the next it has fallen by an exponential of mean `ratio`, not
    below nought, and then rises by 1. The mean is the solution of a linear integral equation, put
    on a grid. Raises ValueError unless both are above nought.
    """
    if not (0 < ratio < math.inf and 0 < h < math.inf):
        raise ValueError("A watch needs a reference and a height above nought.")
    room = h - 1  # before a failure S = u; it calls when u is `room` or more
    if room <= _ROUNDING:
        return 1.0
    points = min(math.ceil(room * _GRID), max(_POINTS, math.ceil(room * _COARSE_GRID)))
    step = room / points
    # Of a failure at u = 0, step, ... S becomes u + 1, and falls to v before the next one:
    # P(v <= x) = exp(-(u + 1 - x) / ratio), with all of it at nought that would fall below.
    after = np.arange(points) * step + 1
    edges = np.append((np.arange(points - 1) + 0.5) * step, room)
    at_most = np.exp(-np.clip(after[:, None] - edges[None, :], 0, None) / ratio)
    moves = np.diff(at_most, axis=1, prepend=0.0)
    beyond = 1 - at_most[:, -1]  # the next failure calls
    lengths = np.linalg.solve(np.eye(points) - moves, 1 + beyond)
    return float(lengths[0])


def _lattice(k: float) -> int:
    """Points to one count, so that k lies on one of them, or as near as the finest lattice has."""
    return Fraction(k).limit_denominator(_FINEST).denominator


def _chances(mean: float, most: int) -> list[float]:
    return [poisson.pmf(count, mean) for count in range(most + 1)]


def _check_chart(k: float, h: float, mean: float, start: float) -> None:
    if not (0 < k < math.inf and 0 < h < math.inf and mean > 0 and 0 <= start < h):
        raise ValueError("A chart needs k, h and a mean above nought, and starts below h.")
