"""What became of units, added up: how many, how many failed, and for how long they were watched.

Sums are made by the database and come back one row for each component, place, supplier, batch and
failure mode. Exposure is added up under three rules of follow-up at once: `gap` is the one that is
used, `last` (to the last visit) and `until` (to the last day counted) are its bracket.
Nothing here writes.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TypeVar

from jobs.reports.queries.life_spells import Name, Spell, spells
from jobs.reports.queries.life_sql import (
    AT_FIRST_VISIT,
    FAILED,
    GAP_DAYS,
    KNOWN_AGE,
    LAST_DAY,
    LAST_M,
    LEFT_DAYS,
    OPEN,
    Lives,
    fetched,
)

K = TypeVar("K", bound=Hashable)

# What is not known (NULL) falls out of a sum by itself.
_SOUND: Final = "0 * (out_m - in_m)"
_OF: Final = "component_id, position, supplier, batch"
_ALL: Final = (
    "COUNT(*)",
    f"SUM(CASE WHEN {KNOWN_AGE} THEN 0 ELSE 1 END)",
    f"SUM({LAST_DAY} - in_day)",
    f"SUM({LAST_M} - in_m)",
)
_STILL: Final = (
    f"SUM({GAP_DAYS})",
    f"SUM({LEFT_DAYS})",
    f"SUM({GAP_DAYS} * m_a_day + {_SOUND})",
    f"SUM({LEFT_DAYS} * m_a_day + {_SOUND})",
    f"SUM(CASE WHEN m_a_day IS NULL THEN {GAP_DAYS} + {_SOUND} END)",
    f"SUM(CASE WHEN m_a_day IS NULL THEN {LEFT_DAYS} + {_SOUND} END)",
)
_FELL: Final = (
    "COUNT(*)",
    f"SUM(CASE WHEN {AT_FIRST_VISIT} THEN 1 ELSE 0 END)",
    f"SUM(CASE WHEN {AT_FIRST_VISIT} THEN CASE WHEN {KNOWN_AGE} THEN 0 ELSE 1 END ELSE 0 END)",
    (
        f"SUM(CASE WHEN left_at_out_m AND out_m - in_m IS NOT NULL AND NOT {AT_FIRST_VISIT}"
        " THEN 1 ELSE 0 END)"
    ),
    f"SUM(CASE WHEN out_day <= in_day AND NOT {AT_FIRST_VISIT} THEN 1 ELSE 0 END)",
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
    """What a tally is of. `mode`: of failures alone, as what; None: of the units themselves, and
    of failures of which no mode is known."""

    component: int
    position: str
    supplier: str
    batch: str
    mode: int | None


@dataclass(frozen=True, slots=True)
class Tallies:
    """`pool`: metres a day of all vehicles of the workshop whose own is known; taken for those of
    which it is not. `spells`: of each supplier and batch the days watched at each age."""

    rows: Mapping[Of, Tally]
    pool: float
    spells: Mapping[Name, Spell]

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
    """Four queries. A unit fitted here that failed on the same day was watched for half a day."""
    pairs = [
        *(_watched(row) for row in _summed(lives, _OF, _ALL)),
        *(_still(row, lives.pool) for row in _summed(lives, _OF, _STILL, OPEN)),
        *(_fell(row) for row in _summed(lives, f"{_OF}, failure_mode_id", _FELL, FAILED)),
    ]
    return Tallies(added(pair for some in pairs for pair in some), lives.pool, spells(lives))


def _summed(lives: Lives, of: str, sums: Iterable[str], only: str = "") -> list[tuple[Any, ...]]:
    whole = ", ".join(f"CAST(COALESCE({one}, 0) AS BIGINT)" for one in sums)
    where = f"{lives.where} AND {only}" if only else lives.where
    sql = f"SELECT {of}, {whole} FROM {lives.rows} u WHERE {where} GROUP BY {of}"  # noqa: S608
    return fetched(sql, lives.values)


def _of(row: tuple[Any, ...], mode: int | None = None) -> Of:
    component, position, supplier, batch = row[:4]
    return Of(component, position, supplier, batch, mode)


def _watched(row: tuple[Any, ...]) -> list[tuple[Of, Tally]]:
    """Every unit to the last contact with it."""
    count, no_age, days, metres = row[4:]
    last, driven = Bracket(days, days, days), Bracket(metres, metres, metres)
    return [(_of(row), Tally(count, no_age=no_age, days=last, metres=driven))]


def _still(row: tuple[Any, ...], pool: float) -> list[tuple[Of, Tally]]:
    """What the rules of follow-up add to units still in place."""
    gap, left, gap_m, left_m, gap_pooled, left_pooled = row[4:]
    driven = Bracket(0, gap_m + gap_pooled * pool, left_m + left_pooled * pool)
    return [(_of(row), Tally(days=Bracket(0, gap, left), metres=driven))]


def _fell(row: tuple[Any, ...]) -> list[tuple[Of, Tally]]:
    """Failures, by mode; what had failed at first sight is taken out of the units."""
    count, first, first_no_age, at_m, same_day = row[5:]
    half = Bracket(same_day / 2, same_day / 2, same_day / 2)
    units = Tally(-first, first_visit=first, no_age=-first_no_age, days=half)
    failures = Tally(failed=count - first, failed_at_m=at_m)
    return [(_of(row), units), (_of(row, row[4]), failures)]


@dataclass(frozen=True, slots=True)
class Watched:
    """Failures, and the days for which units were watched."""

    failed: int = 0
    days: float = 0.0

    def __add__(self, other: Watched) -> Watched:
        return Watched(self.failed + other.failed, self.days + other.days)


def watched(lives: Lives, *, last: int, came: Sequence[float]) -> dict[int, Watched]:
    """By component, up to the day of `lives`, by what is known on a later one, `last`: a unit whose
    vehicle was not seen since counts for as long as such vehicles still came by then (`came`, by
    days unseen on `last`). Three queries."""
    found = {
        component: Watched(0, days)
        for component, days in _summed(lives, "component_id", (f"SUM({LAST_DAY} - in_day)",))
    }
    for component, day, count in _summed(lives, "component_id, out_day", ("COUNT(*)",), OPEN):
        more = came[min(last - day, len(came) - 1)] if came else 0.0
        found[component] += Watched(0, count * more)
    for component, count, first, _no_age, _at_m, half in _summed(
        lives, "component_id", _FELL, FAILED
    ):
        found[component] += Watched(count - first, half / 2)
    return found
