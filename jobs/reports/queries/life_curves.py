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
    END_DAY,
    FAILED,
    FAR,
    KNOWN_AGE,
    KNOWN_M,
    LAST_M,
    Lives,
    fetched,
    whole_numbers,
)
from jobs.reports.stats.counts import Counts, counts_of

STEP_M: Final = 100_000
"""Distances are grouped to 100 km: the time of a distance curve is counted in these."""

_END_M: Final = (
    f"({LAST_M} + CASE WHEN exit = '' AND out_day < %(until)s"
    f" THEN ({END_DAY} - out_day) * COALESCE(m_a_day, %(pool)s) ELSE 0 END - born_m)"
)
_END_STEPS: Final = f"(CASE WHEN {_END_M} > 0 THEN {_END_M} / {STEP_M} + 1 ELSE 0 END)"
_IN_STEPS: Final = f"((in_m - born_m) / {STEP_M})"
Whole = NDArray[np.int64]


def by_age(lives: Lives, kinds: Mapping[int, str]) -> dict[str, Counts]:
    """Of each kind, at ages in days. `kinds`: which kind a component is of. Three queries."""
    return _counts(lives, kinds, ("(in_day - born_day)", f"({END_DAY} - born_day)"), KNOWN_AGE)


def by_distance(lives: Lives, kinds: Mapping[int, str]) -> dict[str, Counts]:
    """Of each kind, at distances in 100 km. Three queries.

    A unit enters with the 100 km in which it was first seen and leaves after those in which it
    left, so that a failure is always of one that is at risk. One that left after its odometer had
    gone backwards is not known to have failed at that distance.
    """
    times = (_IN_STEPS, _END_STEPS)
    return _counts(lives, kinds, times, KNOWN_M, "left_at_out_m")


def _counts(
    lives: Lives,
    kinds: Mapping[int, str],
    times: tuple[str, str],
    known: str,
    sound: str = "0 = 0",
) -> dict[str, Counts]:
    begin, end = (f"component_id * CAST({FAR} AS BIGINT) + {time}" for time in times)
    where = f"{lives.where} AND {known}"
    entered = _grouped(lives, f"{begin}, COUNT(*)", where, 1)
    left = _grouped(lives, f"{end}, COUNT(*)", where, 1)
    # Few: begin, end, and whether it was at first sight; such lives are taken out again.
    first = f"CASE WHEN {AT_FIRST_VISIT} THEN 1 ELSE 0 END"
    at = f"CASE WHEN {sound} THEN 1 ELSE 0 END"
    fell = _grouped(lives, f"{begin}, {end}, {first}, {at}, COUNT(*)", f"{where} AND {FAILED}", 4)
    out, failed = fell[fell[:, 2] == 1], fell[(fell[:, 2] == 0) & (fell[:, 3] == 1)]
    keys = np.concatenate([entered[:, 0], left[:, 0], out[:, 0], out[:, 1], failed[:, 1]])
    column = np.repeat([0, 1, 0, 1, 2], [len(entered), len(left), len(out), len(out), len(failed)])
    counts = np.concatenate([entered[:, 1], left[:, 1], -out[:, 4], -out[:, 4], failed[:, 4]])
    return _split(keys, column, counts, kinds)


def _grouped(lives: Lives, columns: str, where: str, by: int) -> Whole:
    groups = ", ".join(str(at + 1) for at in range(by))
    sql = f"SELECT {columns} FROM {lives.rows} u WHERE {where} GROUP BY {groups}"  # noqa: S608
    return whole_numbers(fetched(sql, lives.values), by + 1)


def _split(
    keys: Whole, column: Whole, counts: Whole, kinds: Mapping[int, str]
) -> dict[str, Counts]:
    """Of each kind, whatever the order of the rows."""
    distinct, at = np.unique(keys, return_inverse=True)
    sums = [
        np.bincount(at[column == one], counts[column == one], len(distinct)) for one in range(3)
    ]
    component, time = distinct // FAR, distinct % FAR
    split = {}
    for name in sorted(set(kinds.values())):
        own = np.isin(component, [one for one, kind in kinds.items() if kind == name])
        split[name] = counts_of(time[own], *(one[own] for one in sums))
    return split
