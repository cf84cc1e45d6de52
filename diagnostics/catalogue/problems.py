"""What is wrong in a catalogue file, where, and what would be right. Pure."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

Path = tuple[str | int, ...]


@dataclass(frozen=True, order=True)
class Problem:
    """One thing to put right. Lines count from 1; line 0 means the file as a whole."""

    file: str
    line: int
    path: str
    wrong: str
    right: str

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        at = f" ({self.path})" if self.path else ""
        return f"{where}: {self.wrong}{at}; {self.right}"


class Wrong(Exception):
    """A value that cannot be read: `wrong` says why, `right` says what would do.

    `at` names the field of the entry that it stands in, where the reader of an entry knows it.
    """

    def __init__(self, wrong: str, right: str, at: str = "") -> None:
        super().__init__(f"{wrong}; {right}")
        self.at = at
        self.wrong = wrong
        self.right = right


def spell(path: Path) -> str:
    """The place inside a file in a reader's words: `limits, entry 3, source`."""
    return ", ".join(f"entry {part + 1}" if isinstance(part, int) else part for part in path)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like the one typed, or None when none is near."""
    names = sorted(set(known))
    folded = {name.casefold(): name for name in names}
    found = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def instead(word: str, known: Iterable[str], what: str) -> str:
    """The advice for an unknown word: the nearest known one, else the whole choice."""
    names = sorted(set(known))
    near = nearest(word, names)
    if near is not None:
        return f"did you mean {near}?"
    if not names:
        return f"no {what} is defined yet: define it first"
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"the {what} must be one of: {shown}"
