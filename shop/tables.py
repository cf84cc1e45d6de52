"""A table as a file holds it: what its columns are called, what they mean and how they read. Pure.

The same columns head the file, fill the page that offers it, and are tried by its tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

Cell = str | int | Decimal | date | None


class Reads(StrEnum):
    """How a cell is written: text, a date (year-month-day), a whole number, or two decimals."""

    TEXT = "text"
    DATE = "date"
    WHOLE = "whole number"
    AMOUNT = "amount"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Column:
    name: str
    words: str
    reads: Reads = Reads.TEXT


@dataclass(frozen=True, slots=True)
class Table:
    """`rows` may be walked once, and is never held as a whole."""

    title: str
    columns: tuple[Column, ...]
    rows: Iterable[tuple[Cell, ...]]


_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def guarded(text: str) -> str:
    """Text that a spreadsheet would take for a formula, with an apostrophe before it.

    Only what people typed goes through here: a number below zero is a number.
    """
    return f"'{text}" if text.lstrip(" ").startswith(_BEGINS_A_FORMULA) else text


def as_text(cell: Cell) -> str:
    """A cell of a text file: 2026-11-25, 1234.50, nothing for None; text is guarded."""
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    if isinstance(cell, date):
        return cell.isoformat()
    return guarded(cell) if isinstance(cell, str) else str(cell)


def text_rows(table: Table) -> Iterator[list[str]]:
    """The heads, then each row as text."""
    yield [column.name for column in table.columns]
    for row in table.rows:
        yield [as_text(cell) for cell in row]
