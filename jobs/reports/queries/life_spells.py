"""For how long units of each supplier and batch were watched at each age since they were fitted.

Groups are held against each other at the same ages (jobs.reports.stats.expected): of equal parts
those that wear out fail more often the longer they have been on, and the oldest batch would seem
the worst. Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from jobs.reports.queries.life_sql import AT_FIRST_VISIT, END_DAY, FAILED, Lives, fetched
from jobs.reports.stats.counts import HALF

STEP_DAYS: Final = 30
_WATCHED: Final = f"({END_DAY} - in_day)"
# A step holds its last day and not its first, so that a failure is always of one that is at risk.
_STEP: Final = f"(({_WATCHED} - 1) / {STEP_DAYS})"
_EVENT: Final = f"({FAILED} AND NOT {AT_FIRST_VISIT})"
Name = tuple[int, str, str]


@dataclass(frozen=True, slots=True)
class Spell:
    """By steps of thirty days since the unit was fitted: `days` watched, and failures."""

    days: tuple[float, ...] = ()
    failed: tuple[int, ...] = ()

    def __add__(self, other: Spell) -> Spell:
        return Spell(_added(self.days, other.days), _added(self.failed, other.failed))


def spells(lives: Lives) -> Mapping[Name, Spell]:
    """By component, supplier and batch, of units of which either is known. One query; a unit that
    failed on the day of fitting was watched for half a day."""
    half = f"CASE WHEN {_EVENT} AND out_day <= in_day THEN 1 ELSE 0 END"
    sql = (
        f"SELECT component_id, supplier, batch, {_STEP}, COUNT(*),"  # noqa: S608
        f" CAST(SUM({_WATCHED}) AS BIGINT), SUM(CASE WHEN {_EVENT} THEN 1 ELSE 0 END), SUM({half})"
        f" FROM {lives.rows} u WHERE {lives.where} AND (supplier <> '' OR batch <> '')"
        " GROUP BY 1, 2, 3, 4 ORDER BY 1, 2, 3, 4"
    )
    of: dict[Name, list[tuple[int, ...]]] = {}
    for row in fetched(sql, lives.values):
        of.setdefault(row[:3], []).append(row[3:])
    return {name: _spell(rows) for name, rows in of.items()}


def _spell(rows: list[tuple[int, ...]]) -> Spell:
    step, count, days, failed, halves = np.array(rows, dtype=np.int64).T
    steps = int(step.max()) + 1
    ended, fell = np.zeros(steps), np.zeros(steps, dtype=np.int64)
    ended[step], fell[step] = count, failed
    beyond = ended.sum() - np.cumsum(ended)  # went on through the whole of the step
    watched = STEP_DAYS * beyond
    watched[step] += days - STEP_DAYS * step * count + HALF * halves
    return Spell(tuple(watched.tolist()), tuple(fell.tolist()))


def _added(one: tuple[Any, ...], other: tuple[Any, ...]) -> tuple[Any, ...]:
    long, short = (one, other) if len(one) >= len(other) else (other, one)
    return (*(a + b for a, b in zip(long, short, strict=False)), *long[len(short) :])


def due(of: Iterable[Spell]) -> list[float]:
    """Of each the failures that it would have if it failed as all of them together did at each age;
    together as many as there were."""
    some = list(of)
    whole = sum(some, Spell())
    rate = [
        failed / days if days else 0.0
        for failed, days in zip(whole.failed, whole.days, strict=True)
    ]
    return [sum(each * days for each, days in zip(rate, one.days, strict=False)) for one in some]
