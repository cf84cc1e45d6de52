"""What the modules' memories held at each reading-out, and two readings side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from diagnostics import words
from diagnostics.codes.compare import Compared, Held, compare
from diagnostics.codes.failure_types import failure_type_text
from diagnostics.codes.status import EVERY_BIT, Bit, Said, bits
from diagnostics.models import FlagClearing, FlagRead, Session, StoredFlag


@dataclass(frozen=True, slots=True)
class FlagSeen:
    """One flag of a reading. `bits` are empty when its status was typed in words."""

    code: str
    text: str
    status: str
    present: bool
    position: str
    failure: str = ""
    bits: tuple[Bit, ...] = ()
    held: Held | None = None

    @property
    def short(self) -> str:
        """The text without what stands in brackets after it."""
        return self.text.partition(" (")[0]

    @property
    def quiet(self) -> bool:
        """Tested and not failing: listed by the module, but not held."""
        return self.held is not None and self.held.quiet

    @property
    def said(self) -> str:
        """Every bit that is set: "present now, stored"."""
        return said(self.bits, Said.YES)

    @property
    def not_known(self) -> str:
        """Every bit that the module does not support."""
        return said(self.bits, Said.NOT_KNOWN)


@dataclass(frozen=True, slots=True)
class MemorySeen:
    """One reading-out or clearing of a module's memory; cleared ones hold no flags."""

    pk: int
    phase: str
    at: datetime
    by: str
    module: str
    cleared: bool
    none_stored: bool = False
    flags: tuple[FlagSeen, ...] = ()
    raw: str = ""

    @property
    def of(self) -> str:
        return words.module(self.module)

    def covers(self, other: MemorySeen) -> bool:
        """Whether it is of the same module as the other, or of every one."""
        return not self.module or self.module.casefold() == other.module.casefold()


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two readings side by side. `reads`: what may be chosen. Without rows neither held a flag."""

    before: MemorySeen
    after: MemorySeen
    reads: tuple[MemorySeen, ...]
    rows: tuple[Compared, ...]
    cleared_between: bool
    covered: bool


def said(shown: Iterable[Bit], how: Said) -> str:
    return ", ".join(bit.label for bit in shown if bit.said is how)


def memory_of(session: Session) -> tuple[MemorySeen, ...]:
    """Every reading and clearing in the order of time: four queries."""
    reads = (
        FlagRead.objects.filter(session=session)
        .select_related("by")
        .prefetch_related("flags__definition")
    )
    found = [
        MemorySeen(
            pk=row.pk,
            phase=row.phase,
            at=row.at,
            by=str(row.by),
            module=row.module,
            cleared=False,
            none_stored=row.none_stored,
            flags=tuple(_flag(flag, row) for flag in row.flags.all()),
            raw=row.raw,
        )
        for row in reads
    ]
    clearings = FlagClearing.objects.filter(session=session).select_related("by")
    found += [
        MemorySeen(row.pk, row.phase, row.at, str(row.by), row.module, True) for row in clearings
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def comparison(
    memory: tuple[MemorySeen, ...], one: int | None = None, other: int | None = None
) -> Comparison | None:
    """Two readings by their pks, the earlier first; by default the first and the last of all.

    None when there are no two.
    """
    reads = tuple(read for read in memory if not read.cleared)
    if len(reads) < 2:
        return None
    chosen = [read for read in reads if read.pk in (one, other)]
    before, after = chosen if len(chosen) == 2 else (reads[0], reads[-1])
    between = memory[memory.index(before) : memory.index(after)]
    cleared = any(one.cleared and one.covers(before) for one in between)
    covered = after.covers(before)
    rows = compare(_held(before), _held(after), cleared_between=cleared, covered=covered)
    return Comparison(before, after, reads, rows, cleared, covered)


def _held(read: MemorySeen) -> list[Held]:
    return [flag.held for flag in read.flags if flag.held]


def _flag(row: StoredFlag, read: FlagRead) -> FlagSeen:
    mask = EVERY_BIT if read.availability is None else read.availability
    is_type = row.failure_type and not row.symptom
    status = words.status(row)
    return FlagSeen(
        code=words.code(row),
        text=row.definition.text if row.definition else "",
        status=status,
        present=row.status == StoredFlag.Status.PRESENT_NOW,
        position=row.definition.position if row.definition else "",
        failure=failure_type_text(int(row.failure_type, 16)) if is_type else "",
        bits=() if row.status_byte is None else bits(row.status_byte, mask),
        held=Held(
            row.code,
            row.failure_type,
            status,
            untested=row.status == StoredFlag.Status.NOT_TESTED,
            quiet=row.status == StoredFlag.Status.QUIET,
        ),
    )
