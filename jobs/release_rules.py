"""What must be shown before a vehicle goes back on the road. Pure.

Common practice, no source: flags cleared after the repair, a road test long and fast enough for
the module's self-test, lamps normal, flags read again after it with none present, and every
reading that was outside taken again and inside.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime


@dataclass(frozen=True, slots=True)
class FlagReadFact:
    at: datetime
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoadTestFact:
    at: datetime
    long_enough: bool
    reason: str


@dataclass(frozen=True, slots=True)
class LampFact:
    at: datetime
    normal: bool
    says: str


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One reading that stands (not replaced): `place` is quantity, component and position."""

    at: datetime
    place: tuple[str, str, str]
    words: str
    verdict: str
    after_repair: bool


@dataclass(frozen=True, slots=True)
class Proof:
    """The dated facts of one job. `repaired_at` is None when nothing was fitted."""

    repaired_at: datetime | None = None
    begun_at: datetime | None = None
    flags_were_found: bool = False
    cleared_at: datetime | None = None
    flag_reads: tuple[FlagReadFact, ...] = ()
    road_tests: tuple[RoadTestFact, ...] = ()
    lamp_checks: tuple[LampFact, ...] = ()
    readings: tuple[ReadingFact, ...] = ()
    without_conclusion: tuple[int, ...] = ()
    without_correction: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing still to do: `key` names the place to do it, `sentence` says what."""

    key: str
    sentence: str
    lines: tuple[int, ...] = field(default=())
