"""What became of units, added up: how many, how many failed, and for how long they were watched.

Sums are made by the database and come back one row for each component, place, supplier, batch and
failure mode. Exposure is added up under three rules of follow-up at once: `gap` is the one that is
used, `last` (to the last visit) and `until` (to the last day counted) are its bracket.
Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final, TypeVar

from jobs.reports.queries.life_sql import (
    AT_FIRST_VISIT,
    FAILED,
    FAILED_AT_M,
    GAP_DAYS,
    KNOWN_AGE,
    LAST_DAY,
    LAST_M,
    LEFT_DAYS,
    Lives,
    fetched,
    table,
)

K = TypeVar("K", bound=Hashable)

_SOUND: Final = "in_m IS NOT NULL AND out_m IS NOT NULL"
_SUMS: Final = (
    "COUNT(*)",
    f"CASE WHEN {AT_FIRST_VISIT} THEN 1 ELSE 0 END",
    f"CASE WHEN {FAILED} THEN 1 ELSE 0 END",
    f"CASE WHEN {FAILED_AT_M} THEN 1 ELSE 0 END",
    f"CASE WHEN {FAILED} AND out_day <= in_day THEN 1 ELSE 0 END",
    f"CASE WHEN {KNOWN_AGE} OR {AT_FIRST_VISIT} THEN 0 ELSE 1 END",
    f"{LAST_DAY} - in_day",
    GAP_DAYS,
    LEFT_DAYS,
    f"CASE WHEN {_SOUND} THEN {LAST_M} - in_m ELSE 0 END",
    f"CASE WHEN {_SOUND} AND m_a_day > 0 THEN {LAST_M} - in_m ELSE 0 END",
    f"CASE WHEN {_SOUND} AND m_a_day > 0 THEN {LAST_DAY} - in_day ELSE 0 END",
    f"CASE WHEN {_SOUND} THEN {GAP_DAYS} * COALESCE(m_a_day, 0) ELSE 0 END",
    f"CASE WHEN {_SOUND} THEN {LEFT_DAYS} * COALESCE(m_a_day, 0) ELSE 0 END",
    f"CASE WHEN {_SOUND} AND m_a_day IS NULL THEN {GAP_DAYS} ELSE 0 END",
    f"CASE WHEN {_SOUND} AND m_a_day IS NULL THEN {LEFT_DAYS} ELSE 0 END",
)


@dataclass(frozen=True, slots=True)
class Bracket:
    """An exposure, in days or metres, under the three rules of follow-up."""

    last: float = 0.0
    gap: float = 0.0
    until: float = 0.0

    def __add__(self, other: Bracket) -> Bracket:
        return Bracket(self.last + other.last, self.gap + other.gap, self.until + other.until)


@dataclass(frozen=True, slots=True)
class Tally:
    """Units watched, and what happened to them. Failed at the first visit: neither among `units`
    nor among `failed`. `failed_at_m`: those whose distance is soundly known; `no_age`: units whose
    age is not known, among `units`."""

    units: int = 0
    first_visit: int = 0
    failed: int = 0
    failed_at_m: int = 0
    no_age: int = 0
    days: Bracket = field(default_factory=Bracket)
    metres: Bracket = field(default_factory=Bracket)

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.units + other.units,
            self.first_visit + other.first_visit,
            self.failed + other.failed,
            self.failed_at_m + other.failed_at_m,
            self.no_age + other.no_age,
            self.days + other.days,
            self.metres + other.metres,
        )


@dataclass(frozen=True, slots=True)
class Of:
    """What a tally is of. `mode`: of units that failed, as what; else None."""

    component: int
    position: str
    supplier: str
    batch: str
    mode: int | None


@dataclass(frozen=True, slots=True)
class Tallies:
    """`pool`: metres a day of all whose own is known; taken for those of whom it is not."""

    rows: Mapping[Of, Tally]
    pool: float

    def by(self, key: Callable[[Of], K | None]) -> dict[K, Tally]:
        """Added up by what `key` says of each; what it says None of is left out."""
        return added((key(of), tally) for of, tally in self.rows.items())


def added(pairs: Iterable[tuple[K | None, Tally]]) -> dict[K, Tally]:
    """Tallies added up by their keys; what has no key is left out."""
    sums: dict[K, Tally] = {}
    for key, tally in pairs:
        if key is not None:
            sums[key] = sums[key] + tally if key in sums else tally
    return sums


def tallies(lives: Lives) -> Tallies:
    """One query. A unit fitted here that failed on the same day was watched for half a day."""
    sums = ", ".join(
        one if one.startswith("COUNT") else f"CAST(COALESCE(SUM({one}), 0) AS BIGINT)"
        for one in _SUMS
    )
    of = "component_id, position, supplier, batch, failure_mode_id"
    sql = f"SELECT {of}, {sums} FROM {table()} WHERE {lives.where} GROUP BY {of}"  # noqa: S608
    found = fetched(sql, lives.values)
    metres, days = sum(row[15] for row in found), sum(row[16] for row in found)
    pool = metres / days if days else 0.0
    return Tallies(_tallied(found, pool), pool)


def _tallied(found: list[tuple[int, ...]], pool: float) -> dict[Of, Tally]:
    rows: dict[Of, Tally] = {}
    for component, position, supplier, batch, mode, *sums in found:
        count, first, failed, failed_m, same_day, no_age, last, gap, left, *way = sums
        last_m, _pool_m, _pool_days, gap_m, left_m, gap_pooled, left_pooled = way
        watched = last + same_day / 2
        of = Of(component, str(position), str(supplier), str(batch), mode if failed else None)
        tally = Tally(
            count - first,
            first,
            failed,
            failed_m,
            no_age,
            Bracket(watched, watched + gap, watched + left),
            Bracket(
                last_m, last_m + gap_m + gap_pooled * pool, last_m + left_m + left_pooled * pool
            ),
        )
        rows[of] = rows[of] + tally if of in rows else tally
    return rows


@dataclass(frozen=True, slots=True)
class Watched:
    """Failures, and the days for which units were watched."""

    failed: int = 0
    days: float = 0.0

    def __add__(self, other: Watched) -> Watched:
        return Watched(self.failed + other.failed, self.days + other.days)


def watched(lives: Lives) -> dict[int, Watched]:
    """By component, under the rule of the gap. One query."""
    failed, same_day = _SUMS[2], _SUMS[4]
    sums = ", ".join(
        f"CAST(COALESCE(SUM({one}), 0) AS BIGINT)"
        for one in (failed, same_day, f"{LAST_DAY} - in_day + {GAP_DAYS}")
    )
    sql = (
        f"SELECT component_id, {sums} FROM {table()}"  # noqa: S608
        f" WHERE {lives.where} GROUP BY component_id"
    )
    return {
        component: Watched(count, days + half / 2)
        for component, count, half, days in fetched(sql, lives.values)
    }
