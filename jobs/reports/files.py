"""A table of a report as a file holds it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from jobs.reports.document import ReportTable, Section, Shown
from shop.tables import Cell, Column, Reads, Table

BLANK: Final = "–"


def as_table(one: ReportTable, title: str = "") -> Table:
    """The table as a file holds it: values in place of words.

    Text without a value is its words, and a blank is empty. A column of numbers holds numbers
    alone: where the page says in words why there is none, the cell is empty.
    """
    rows = (
        tuple(_value(cell, column) for cell, column in zip(row, one.columns, strict=True))
        for row in one.rows
    )
    return Table(title or one.title, one.columns, rows)


def table_of(sections: Iterable[Section], key: str) -> ReportTable | None:
    """The table with this key, or None."""
    tables = (table for section in sections for table in section.tables)
    return next((table for table in tables if table.key == key), None)


def _value(cell: Shown, column: Column) -> Cell:
    if cell.value is None and column.reads is Reads.TEXT and cell.words != BLANK:
        return cell.words
    return cell.value
