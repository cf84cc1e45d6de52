"""Two readings of a memory side by side: what was cleared, came back, stayed or is new. Pure.

A flag that is missing from the second reading is cleared only if that reading was of the same
module; one that was not tested since clearing shows nothing either way.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Change(StrEnum):
    """What became of a flag from the first reading to the second."""

    CAME_BACK = "came_back"
    STILL_THERE = "still_there"
    NEW = "new"
    NOT_TESTED = "not_tested"
    NOT_READ = "not_read"
    CLEARED = "cleared"

    @property
    def label(self) -> str:
        """As it is said: "come back"."""
        return _LABELS[self]


_LABELS = {
    Change.CAME_BACK: "come back",
    Change.STILL_THERE: "still there",
    Change.NEW: "new",
    Change.NOT_TESTED: "not tested yet",
    Change.NOT_READ: "not read again",
    Change.CLEARED: "gone",
}


@dataclass(frozen=True, slots=True)
class Held:
    """A flag in one reading.

    code: without its failure type; failure_type: two digits, "" when it was read without.
    says: its status in words. untested: not tested since clearing. quiet: tested, not failing.
    """

    code: str
    failure_type: str = ""
    says: str = ""
    untested: bool = False
    quiet: bool = False

    @property
    def full(self) -> str:
        return f"{self.code}-{self.failure_type}" if self.failure_type else self.code

    def is_same(self, other: Held) -> bool:
        """The same flag; one read without its failure type matches any."""
        return self.code == other.code and (
            self.failure_type == other.failure_type
            or not (self.failure_type and other.failure_type)
        )


@dataclass(frozen=True, slots=True)
class Compared:
    """One flag and what became of it; `before` and `after` say its status, "" where it was not."""

    change: Change
    code: str
    before: str = ""
    after: str = ""


def compare(
    before: Iterable[Held],
    after: Iterable[Held],
    *,
    cleared_between: bool,
    covered: bool = True,
) -> tuple[Compared, ...]:
    """Every flag that was held in either reading with its change, what needs work first.

    One that only the first reading lists as untested or not failing was never held: left out.
    cleared_between: the memory was cleared after the first reading and before the second.
    covered: the second reading is of the same module as the first, or of every module.
    """
    earlier, later = list(before), list(after)
    found: list[Compared] = []
    for old in earlier:
        match = _match(old, later)
        if match is not None:
            later.remove(match)
        elif old.untested or old.quiet:
            continue
        change = _change(old, match, cleared_between=cleared_between, covered=covered)
        code = max(old.full, match.full if match else "", key=len)
        found.append(Compared(change, code, old.says, match.says if match else ""))
    found += [
        Compared(Change.NOT_TESTED if new.untested else Change.NEW, new.full, "", new.says)
        for new in later
        if not new.quiet
    ]
    order = list(Change)
    return tuple(sorted(found, key=lambda one: (order.index(one.change), one.code)))


def _match(old: Held, later: list[Held]) -> Held | None:
    """The same flag in the later reading: with equal failure type rather than without one."""
    exact = [new for new in later if (new.code, new.failure_type) == (old.code, old.failure_type)]
    return next(iter(exact or [new for new in later if old.is_same(new)]), None)


def _change(old: Held, match: Held | None, *, cleared_between: bool, covered: bool) -> Change:
    if match is None:
        return Change.CLEARED if covered else Change.NOT_READ
    if match.untested:
        return Change.NOT_TESTED
    if match.quiet:
        return Change.CLEARED
    if old.quiet or old.untested:
        return Change.NEW
    return Change.CAME_BACK if cleared_between else Change.STILL_THERE
