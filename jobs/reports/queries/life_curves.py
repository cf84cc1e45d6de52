"""Units that came into view, left it and failed, counted at each age and at each distance.

The database groups them to distinct times; what lives know no age of, or no sound distance, and
what failed at the first visit, is not among them. Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from jobs.reports.queries.life_sql import (
    AT_FIRST_VISIT,
    FAILED,
    FAILED_AT_M,
    GAP_DAYS,
    KNOWN_AGE,
    KNOWN_M,
    LAST_DAY,
    LAST_M,
    Lives,
    fetched,
    table,
    whole_numbers,
)
from jobs.reports.stats.counts import Counts, counts_of

STEP_M: Final = 100_000
"""Distances are grouped to 100 km: the time of a distance curve is counted in these."""

_LEFT_M: Final = f"({LAST_M} + {GAP_DAYS} * COALESCE(m_a_day, %(pool)s) - born_m)"


def by_age(lives: Lives, kinds: Mapping[int, str]) -> dict[str, Counts]:
    """Of each kind, at ages in days. `kinds`: which kind a component is of. Two queries."""
    entered = _grouped(lives, "in_day - born_day", KNOWN_AGE)
    left = _grouped(lives, f"{LAST_DAY} + {GAP_DAYS} - born_day", KNOWN_AGE, FAILED)
    return _split(entered, left, kinds)


def by_distance(lives: Lives, kinds: Mapping[int, str], pool: float) -> dict[str, Counts]:
    """Of each kind, at distances in 100 km. `pool`: metres a day where a vehicle's own is not
    known. Two queries.

    A unit enters with the 100 km in which it was first seen and leaves after those in which it
    left, so that a failure is always of one that is at risk.
    """
    entered = _grouped(lives, f"(in_m - born_m) / {STEP_M}", KNOWN_M)
    steps = f"CASE WHEN {_LEFT_M} > 0 THEN {_LEFT_M} / {STEP_M} + 1 ELSE 0 END"
    left = _grouped(lives, steps, KNOWN_M, FAILED_AT_M, pool=round(pool))
    return _split(entered, left, kinds)


def _grouped(
    lives: Lives, time: str, known: str, failed: str = "", pool: int = 0
) -> NDArray[np.int64]:
    """Component, time, how many, and how many of them failed."""
    sums = f"COUNT(*), SUM(CASE WHEN {failed} THEN 1 ELSE 0 END)" if failed else "COUNT(*), 0"
    sql = (
        f"SELECT component_id, {time}, {sums} FROM {table()}"  # noqa: S608
        f" WHERE {lives.where} AND {known} AND NOT {AT_FIRST_VISIT} GROUP BY 1, 2"
    )
    return whole_numbers(fetched(sql, lives.values | {"pool": pool}), 4)


def _split(
    entered: NDArray[np.int64], left: NDArray[np.int64], kinds: Mapping[int, str]
) -> dict[str, Counts]:
    """The counts of each kind, whatever the order of the rows."""
    names = sorted(set(kinds.values()))
    place = {name: at for at, name in enumerate(names)}
    entries, exits = _in_order(entered, kinds, place), _in_order(left, kinds, place)
    split = {}
    for name, at in place.items():
        come, gone = _of(entries, at), _of(exits, at)
        times = np.concatenate((come[:, 1], gone[:, 1])).astype(np.float64)
        none, nought = np.zeros(len(come)), np.zeros(len(gone))
        split[name] = counts_of(
            times,
            np.concatenate((come[:, 2], nought)),
            np.concatenate((none, gone[:, 2])),
            np.concatenate((none, gone[:, 3])),
        )
    return split


def _in_order(
    rows: NDArray[np.int64], kinds: Mapping[int, str], place: Mapping[str, int]
) -> NDArray[np.int64]:
    """Rows with the number of their kind in place of their component, by kind."""
    components, at = np.unique(rows[:, 0], return_inverse=True)
    numbers = np.array([place.get(kinds.get(int(c), ""), -1) for c in components], dtype=np.int64)
    found = rows.copy()
    found[:, 0] = numbers[at] if numbers.size else found[:, 0]
    order = np.argsort(found[:, 0], kind="stable")
    return found[order]


def _of(rows: NDArray[np.int64], kind: int) -> NDArray[np.int64]:
    low, high = np.searchsorted(rows[:, 0], (kind, kind + 1))
    return rows[low:high]
