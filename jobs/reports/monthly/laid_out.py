"""The sections of a report as paper has them: how wide a table is, what is told of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Section
from shop.tables import Column

MANY: Final = 7  # columns beyond which a table is set smaller
WIDE: Final = 10  # and beyond which it goes across the stub
MOST: Final = 12  # and beyond which it is set as two, one under the other
SHORT: Final = 14  # rows up to which it is not torn apart


@dataclass(frozen=True, slots=True)
class Told:
    """What a column means, without a full stop: several stand in one line."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class TableOnPaper:
    """`told`: its columns, but for those that were told in this section already."""

    table: ReportTable
    told: tuple[Told, ...]
    wide: bool = False

    @property
    def looks(self) -> str:
        """The names by which the style sheet knows it."""
        columns, looks = len(self.table.columns), ["counted"]
        if columns > MANY:
            looks.append("counted--many")
        if self.wide:
            looks.append("counted--wide")
        if len(self.table.rows) <= SHORT:
            looks.append("counted--short")
        return " ".join(looks)


@dataclass(frozen=True, slots=True)
class SectionOnPaper:
    section: Section
    tables: tuple[TableOnPaper, ...]


def laid_out(sections: Iterable[Section]) -> tuple[SectionOnPaper, ...]:
    return tuple(SectionOnPaper(one, tables_on_paper(one.tables)) for one in sections)


def tables_on_paper(tables: Iterable[ReportTable]) -> tuple[TableOnPaper, ...]:
    """Each table with what must be told of its columns: each thing once."""
    told: set[Told] = set()
    found = []
    for table in tables:
        wide = len(table.columns) > WIDE
        for piece in _pieces(table):
            new = [one for one in map(_told, piece.columns) if one.words and one not in told]
            told.update(new)
            found.append(TableOnPaper(piece, tuple(new), wide))
    return tuple(found)


def _pieces(table: ReportTable) -> list[ReportTable]:
    """The table; or its halves, each with the names of the rows before it."""
    columns = len(table.columns)
    if columns <= MOST:
        return [table]
    half = 1 + columns // 2
    first = replace(_cut(table, range(1, half)), note="")
    second = _cut(table, range(half, columns))
    title = _("%(title)s, continued") % {"title": table.title}
    return [first, replace(second, title=title)]


def _cut(table: ReportTable, which: range) -> ReportTable:
    return replace(
        table,
        columns=(table.columns[0], *(table.columns[at] for at in which)),
        rows=tuple((row[0], *(row[at] for at in which)) for row in table.rows),
    )


def _told(column: Column) -> Told:
    return Told(str(column.name), str(column.words).strip().removesuffix("."))
