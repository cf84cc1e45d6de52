"""Lives as Hypothesis draws them, and as numbers for the libraries they are held against."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from jobs.reports.stats.counts import Counts, from_lives


@dataclass(frozen=True, slots=True)
class Lives:
    """Entry below exit, in whole days; whether each ended by a failure."""

    entry: list[int]
    exit: list[int]
    failed: list[bool]

    @property
    def counts(self) -> Counts:
        return from_lives(self.entry, self.exit, self.failed)

    def in_order(self, order: list[int]) -> Lives:
        return Lives(
            [self.entry[at] for at in order],
            [self.exit[at] for at in order],
            [self.failed[at] for at in order],
        )

    def times(self, factor: float) -> Counts:
        entry, exit_ = np.array(self.entry) * factor, np.array(self.exit) * factor
        return from_lives(entry, exit_, self.failed)

    def split(self, at: int, when: int) -> Lives:
        """One of the lives as two that abut; the second ends as the whole did."""
        parts = self.in_order([n for n in range(len(self.entry)) if n != at])
        begin, end, failed = self.entry[at], self.exit[at], self.failed[at]
        return Lives(
            [*parts.entry, begin, when], [*parts.exit, when, end], [*parts.failed, False, failed]
        )


_life = st.tuples(st.integers(0, 900), st.integers(1, 700), st.booleans())


@st.composite
def lives(draw: st.DrawFn, least: int = 1, most: int = 60) -> Lives:
    rows = draw(st.lists(_life, min_size=least, max_size=most))
    return Lives(
        [begin for begin, _long, _failed in rows],
        [begin + long for begin, long, _failed in rows],
        [failed for _begin, _long, failed in rows],
    )


def weibull_lives(seed: int, size: int, shape: float, scale: float = 800.0) -> Lives:
    """Units of a Weibull law first seen at some age and lost at random, in whole days."""
    rng = np.random.default_rng(seed)
    life = scale * rng.weibull(shape, size)
    entry = rng.integers(0, 600, size)
    end = np.minimum(np.ceil(life), entry + rng.integers(30, 900, size))
    seen = end > entry
    failed = np.ceil(life) <= end
    return Lives(entry[seen].tolist(), end[seen].astype(int).tolist(), failed[seen].tolist())
