"""What the lines above the numbers say: names, units, which column is the time. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnostics.capture_files.layout import Layout, cells_of

TIME_UNITS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}
# What is measured, and its factor to volts or amperes.
VALUE_UNITS = {
    "V": ("V", 1.0),
    "mV": ("V", 1e-3),
    "uV": ("V", 1e-6),
    "kV": ("V", 1e3),
    "A": ("A", 1.0),
    "mA": ("A", 1e-3),
    "uA": ("A", 1e-6),
}
_SPELLINGS = {
    "s": "s sec secs second seconds sek",
    "ms": "ms msec msecs millisecond milliseconds",
    "us": "us µs μs usec µsec microsecond microseconds",
    "ns": "ns nsec nanosecond nanoseconds",
    "V": "v volt volts",
    "mV": "mv millivolt millivolts",
    "uV": "uv µv μv microvolt microvolts",
    "kV": "kv kilovolt kilovolts",
    "A": "a amp amps ampere amperes",
    "mA": "ma milliamp milliamps milliampere milliamperes",
    "uA": "ua µa μa microamp microamps microampere microamperes",
}
_UNIT_OF = {word: key for key, words in _SPELLINGS.items() for word in words.split()}

_IN_BRACKETS = re.compile(r"(?P<name>.*?)\s*[(\[{]\s*(?P<unit>[^()\[\]{}]*?)\s*[)\]}]\s*")
_ALL_IN_BRACKETS = re.compile(r"[(\[{][^()\[\]{}]*[)\]}]")
_AFTER_A_WORD = re.compile(r"(?P<name>.+?)\s*(?:/|\bin\b|,)\s*(?P<unit>[^\s/,]+)")
_AFTER_A_GAP = re.compile(r"(?P<name>.+?)[\s_]+(?P<unit>[^\s_]+)")
_TIME_NAME = re.compile(r"(?:time|t|zeit|temps|tiempo|tempo|tid|tijd)\b.*", re.IGNORECASE)
_COUNTER_NAME = re.compile(
    r"(?:index|samples?|sample (?:no|number)|no|nr|number|n|#|points?|row|line)\.?", re.IGNORECASE
)
_COMMENT = re.compile(r"^\s*(?:#|%|//)+\s*")
_LONGEST_NAME = 60
_LONGEST_CELL = 100


@dataclass(frozen=True, slots=True)
class Head:
    """name, unit: of one column, "" where the file does not say. unit is one of TIME_UNITS or
    VALUE_UNITS, or the word as written (`odd`)."""

    name: str = ""
    unit: str = ""
    odd: str = ""

    @property
    def is_time(self) -> bool:
        return self.unit in TIME_UNITS or (
            not self.unit and not self.odd and _TIME_NAME.fullmatch(self.name) is not None
        )

    @property
    def is_counter(self) -> bool:
        return not self.unit and not self.odd and _COUNTER_NAME.fullmatch(self.name) is not None


def unit_of(word: str) -> str:
    """The unit written `word`, "" for one that is not known."""
    return _UNIT_OF.get(word.strip().casefold().rstrip("."), "")


def heads_of(layout: Layout) -> tuple[Head, ...]:
    """One head for each column; empty ones where the file has none."""
    lines = [line for line in layout.head if line.strip()]
    if not lines:
        return (Head(),) * layout.columns
    last = _cells(lines[-1], layout)
    if last is None:
        return (Head(),) * layout.columns
    if not _are_units(last):
        return tuple(_head(cell) for cell in last)
    names = _cells(lines[-2], layout) if len(lines) > 1 else None
    if names is None:
        names = [""] * layout.columns
    return tuple(
        _with_unit(_head(name), unit.strip(" ()[]{}"))
        for name, unit in zip(names, last, strict=True)
    )


def names_in_last_line(layout: Layout) -> int:
    """How many cells the line above the numbers has."""
    lines = [line for line in layout.head if line.strip()]
    return len(cells_of(lines[-1], layout.separator)) if lines else 0


def _cells(line: str, layout: Layout) -> list[str] | None:
    """The cells of a line of names: as many as there are columns, however they are separated."""
    bare = _COMMENT.sub("", line)
    ways = [cells_of(bare, layout.separator)]
    ways += [cells_of(bare, mark) for mark in "\t;,"]
    ways.append(re.split(r"\s{2,}", bare.strip()))
    found = [cells for cells in ways if len(cells) == layout.columns]
    return found[0] if found else None


def _are_units(cells: list[str]) -> bool:
    return any(cells) and all(
        not cell or unit_of(cell.strip(" ()[]{}")) or _ALL_IN_BRACKETS.fullmatch(cell)
        for cell in cells
    )


def _head(cell: str) -> Head:
    # Short, so that no odd head keeps the patterns busy.
    bare = "".join(letter for letter in cell[:_LONGEST_CELL] if letter.isprintable()).strip()
    found = _IN_BRACKETS.fullmatch(bare)
    if found:
        return _with_unit(Head(_short(found["name"])), found["unit"])
    found = _AFTER_A_WORD.fullmatch(bare)
    if found and unit_of(found["unit"]):
        return Head(_short(found["name"]), unit_of(found["unit"]))
    found = _AFTER_A_GAP.fullmatch(bare)
    # "Channel A" names a channel, no ampere.
    if found and unit_of(found["unit"]) not in ("", "A"):
        return Head(_short(found["name"]), unit_of(found["unit"]))
    return Head(_short(bare))


def _with_unit(head: Head, word: str) -> Head:
    if not word:
        return head
    unit = unit_of(word)
    return Head(head.name, unit, "" if unit else _short(word))


def _short(name: str) -> str:
    return name.strip()[:_LONGEST_NAME]
