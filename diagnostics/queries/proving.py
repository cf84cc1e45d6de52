"""What sessions show about a repair, for many sessions at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from diagnostics import words
from diagnostics.models import FlagClearing, FlagRead, LampCheck, Reading


@dataclass(frozen=True, slots=True)
class FlagReadSeen:
    at: datetime
    phase: str
    module: str
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClearingSeen:
    at: datetime
    phase: str
    module: str


@dataclass(frozen=True, slots=True)
class LampsSeen:
    at: datetime
    phase: str
    normal: bool
    unsafe: bool
    says: str


@dataclass(frozen=True, slots=True)
class ReadingSeen:
    """A reading that stands; `place` is quantity key, component key, position."""

    at: datetime
    phase: str
    place: tuple[str, str, str]
    words: str
    shown: str
    verdict: str


@dataclass(frozen=True, slots=True)
class SessionFacts:
    """The dated facts of one session, each kind in the order it was recorded."""

    flag_reads: tuple[FlagReadSeen, ...] = ()
    clearings: tuple[ClearingSeen, ...] = ()
    lamp_checks: tuple[LampsSeen, ...] = ()
    readings: tuple[ReadingSeen, ...] = ()

    @property
    def cleared_at(self) -> datetime | None:
        return self.clearings[-1].at if self.clearings else None


def facts(session_ids: Iterable[int]) -> dict[int, SessionFacts]:
    """By session pk, every pk asked for being there. Five queries whatever their number."""
    wanted = list(session_ids)
    reads = _by_session(
        FlagRead.objects.filter(session__in=wanted).prefetch_related("flags"), _flag_read
    )
    clearings = _by_session(FlagClearing.objects.filter(session__in=wanted), _clearing)
    lamps = _by_session(LampCheck.objects.filter(session__in=wanted), _lamps)
    standing = Reading.objects.filter(session__in=wanted, replaced_by=None)
    readings = _by_session(standing.select_related("quantity", "component"), _reading)
    return {
        pk: SessionFacts(
            flag_reads=tuple(reads[pk]),
            clearings=tuple(clearings[pk]),
            lamp_checks=tuple(lamps[pk]),
            readings=tuple(readings[pk]),
        )
        for pk in wanted
    }


Row = TypeVar("Row", FlagRead, FlagClearing, LampCheck, Reading)
Seen = TypeVar("Seen")


def _by_session(rows: Iterable[Row], seen: Callable[[Row], Seen]) -> dict[int, list[Seen]]:
    found: dict[int, list[Seen]] = defaultdict(list)
    for row in rows:
        found[row.session_id].append(seen(row))
    return found


def _flag_read(row: FlagRead) -> FlagReadSeen:
    codes = tuple(words.code(flag) for flag in row.flags.all())
    return FlagReadSeen(row.at, row.phase, row.module, codes)


def _clearing(row: FlagClearing) -> ClearingSeen:
    return ClearingSeen(row.at, row.phase, row.module)


def _lamps(row: LampCheck) -> LampsSeen:
    return LampsSeen(row.at, row.phase, row.normal, row.unsafe, row.says)


def _reading(row: Reading) -> ReadingSeen:
    component = row.component.key if row.component else ""
    where = f", {words.place(row.position)}" if row.position else ""
    return ReadingSeen(
        at=row.at,
        phase=row.phase,
        place=(row.quantity.key, component, row.position),
        words=f"{row.quantity}{where}",
        shown=words.value(row),
        verdict=row.verdict,
    )
