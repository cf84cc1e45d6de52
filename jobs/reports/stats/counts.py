"""Lives as counts at distinct times: all that the estimates need, however many lives there are.

A life is watched on (entry, exit]: what enters at a time is not at risk at that time, what leaves
at it still is, and failures come before other exits (N. Keiding, D. Gill, left truncation; the
convention of all libraries this was held against).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]
HALF = 0.5
"""A unit that failed on the day it was fitted was watched for half a day: (0, 0] holds nothing."""


@dataclass(frozen=True, slots=True)
class Counts:
    """`t` strictly rising; how many `entered` at each time, `left` it, and `failed` of those."""

    t: Numbers
    entered: Numbers
    left: Numbers
    failed: Numbers

    @property
    def lives(self) -> int:
        return int(self.left.sum())

    @property
    def failures(self) -> int:
        return int(self.failed.sum())


def counts_of(t: ArrayLike, entered: ArrayLike, left: ArrayLike, failed: ArrayLike) -> Counts:
    """Counts in any order of times; equal times are put together, exits at nought to half a unit.

    Raises ValueError for a time or count below nought, more failures than exits, lives that leave
    before they enter, or when not as many leave as enter.
    """
    columns = [np.asarray(one, dtype=np.float64).ravel() for one in (t, entered, left, failed)]
    if len({len(one) for one in columns}) != 1:
        raise ValueError("Times and counts are of different lengths.")
    if any(np.any(~np.isfinite(one)) or np.any(one < 0) for one in columns):
        raise ValueError("Times and counts are finite and not below nought.")
    times, came, went, fell = columns
    at_nought = (times == 0) & (went > 0)
    if np.any(at_nought):
        nought = np.zeros(int(at_nought.sum()))
        times = np.concatenate([times, nought + HALF])
        came = np.concatenate([came, nought])
        went = np.concatenate([np.where(at_nought, 0.0, went), went[at_nought]])
        fell = np.concatenate([np.where(at_nought, 0.0, fell), fell[at_nought]])
    distinct, place = np.unique(times, return_inverse=True)
    came, went, fell = (
        np.bincount(place, one, len(distinct)).astype(np.float64) for one in (came, went, fell)
    )
    return _checked(Counts(distinct, came, went, fell))


def _checked(counts: Counts) -> Counts:
    if np.any(counts.failed > counts.left):
        raise ValueError("More failed than left.")
    inside = np.cumsum(counts.entered - counts.left)
    if len(inside) and (np.any(inside < 0) or inside[-1] != 0):
        raise ValueError("Each life leaves once, and not before it enters.")
    return counts


def from_lives(entry: ArrayLike, exit_: ArrayLike, failed: ArrayLike) -> Counts:
    """Counts of lives given one by one; `failed` true or false.

    A life that leaves when it enters is watched for no time and left out, but for one of age
    nought, which counts as half a unit. Raises ValueError for one that leaves before it enters.
    """
    start, end = np.asarray(entry, np.float64).ravel(), np.asarray(exit_, np.float64).ravel()
    fell = np.asarray(failed, np.float64).ravel()
    if np.any(end < start):
        raise ValueError("A life does not leave before it enters.")
    kept = (end > start) | (start == 0)
    start, end, fell = start[kept], end[kept], fell[kept]
    nothing = np.zeros(len(start))
    return counts_of(
        np.concatenate([start, end]),
        np.concatenate([nothing + 1, nothing]),
        np.concatenate([nothing, nothing + 1]),
        np.concatenate([nothing, fell]),
    )


def merged(many: Iterable[Counts]) -> Counts:
    """The counts of all lives together."""
    every = list(many)
    if not every:
        return counts_of([], [], [], [])
    return counts_of(
        *(
            np.concatenate([getattr(one, name) for one in every])
            for name in ("t", "entered", "left", "failed")
        )
    )


def at_risk(counts: Counts) -> Numbers:
    """At each time the number with entry < t <= exit."""
    inside = np.cumsum(counts.entered - counts.left)
    return np.concatenate([[0.0], inside[:-1]]) if len(inside) else inside
