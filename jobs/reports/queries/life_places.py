"""What happened at places after a unit was replaced here: again and again, and month by month.

Nothing here writes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np
from numpy.typing import NDArray

from jobs.reports.queries.life_sql import (
    AT_FIRST_VISIT,
    END_DAY,
    FAILED,
    Lives,
    fetched,
    whole_numbers,
)

Whole = NDArray[np.int64]
_MONTH: Final = 365.25 / 12


@dataclass(frozen=True, slots=True)
class Places:
    """Places at which a unit was replaced here, from that day on. In days: `ends` of each place;
    `place` and `at` of each further failure."""

    ends: Whole
    place: Whole
    at: Whole


@dataclass(frozen=True, slots=True)
class Cohorts:
    """Units fitted here by the month they were fitted in, and their failures by the month of their
    age (0 for the first). `first`: the months in order; `reached`: how many months of age all of
    one have behind them on the last day counted; `followed`: for how many unit-months they were
    followed in each month of age."""

    first: tuple[date, ...]
    sizes: Whole
    failed: Whole  # cohort by month of age
    reached: Whole
    followed: NDArray[np.float64]  # cohort by month of age


def places(lives: Lives) -> Places:
    """One query. A place is watched from the first unit fitted there to the last seen of it."""
    name, place = lives.rows, ("vehicle_id", "component_id", "position")
    same = " AND ".join(f"u.{column} = f.{column}" for column in place)
    columns = ", ".join(place)
    inner = (
        f"SELECT {columns}, MIN(in_day) AS since FROM {name} u"  # noqa: S608
        f" WHERE {lives.where} AND entry = 'fitted' GROUP BY {columns}"
    )
    sql = (
        f"SELECT u.vehicle_id, u.component_id, u.position,"  # noqa: S608
        f" {END_DAY} - f.since,"
        f" CASE WHEN {FAILED} AND NOT {AT_FIRST_VISIT} THEN 1 ELSE 0 END"
        f" FROM {name} u JOIN ({inner}) f ON {same}"
        f" WHERE {lives.where_of('u.')} AND in_day >= f.since"
    )
    rows = fetched(sql, lives.values)
    at_place: dict[tuple[int, int, str], int] = {}
    numbers = np.array(
        [at_place.setdefault(row[:3], len(at_place)) for row in rows], dtype=np.int64
    )
    days = whole_numbers([row[3:] for row in rows], 2)
    ends = np.zeros(len(at_place), dtype=np.int64)
    np.maximum.at(ends, numbers, days[:, 0])
    failed = days[:, 1] == 1
    return Places(ends, numbers[failed], days[failed, 0])


def cohorts(lives: Lives) -> Cohorts:
    """One query: by day fitted, age at the end of follow-up and whether it failed then, added up to
    months."""
    sql = (
        f"SELECT in_day, {END_DAY} - in_day, CASE WHEN {FAILED} THEN 1 ELSE 0 END,"  # noqa: S608
        f" COUNT(*) FROM {lives.rows} u WHERE {lives.where} AND entry = 'fitted' GROUP BY 1, 2, 3"
    )
    rows = whole_numbers(fetched(sql, lives.values), 4)
    months = np.array([_month(int(day)) for day in rows[:, 0]], dtype=np.int64)
    if not months.size:
        none = np.zeros(0, dtype=np.int64)
        empty = np.zeros((0, 0))
        return Cohorts((), none, empty.astype(np.int64), none, empty)
    begins, last = int(months.min()), _month(lives.until)
    count = last - begins + 1
    sizes = np.bincount(months - begins, rows[:, 3], count).astype(np.int64)
    reached = np.array(
        [max(0, int((lives.until - _last_day(begins + at)) // _MONTH)) for at in range(count)]
    )
    failed = np.zeros((count, count + 1), dtype=np.int64)
    some = rows[:, 2] == 1
    ages = (rows[some, 1] // _MONTH).astype(np.int64)
    np.add.at(failed, (months[some] - begins, ages), rows[some, 3])
    followed = np.zeros((count, count + 1))
    ends = np.maximum(rows[:, 1], 0.5)  # failed on the day of fitting: half a day
    for age in range(count + 1):
        within = np.clip(ends / _MONTH - age, 0.0, 1.0) * rows[:, 3]
        np.add.at(followed[:, age], months - begins, within)
    first = tuple(_date(begins + at) for at in range(count))
    return Cohorts(first, sizes, failed, reached, followed)


def _month(day: int) -> int:
    found = date.fromordinal(day)
    return found.year * 12 + found.month - 1


def _date(month: int) -> date:
    return date(month // 12, month % 12 + 1, 1)


def _last_day(month: int) -> int:
    return _date(month + 1).toordinal() - 1
