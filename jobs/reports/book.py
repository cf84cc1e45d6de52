"""All tables of a report as one workbook, after what it says, what it holds and what limits it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import Report, ReportTable, Section
from jobs.reports.files import as_table
from shop.tables import Column, Reads, Table

LONGEST_NAME: Final = 31  # of a sheet, as workbooks have it
_NOT_IN_A_NAME: Final = str.maketrans(dict.fromkeys("[]:*?/\\", " "))


def book_of(report: Report) -> Iterator[Table]:
    """One sheet for each table, after what the report says, what it holds and what limits it."""
    named = list(_named(report.sections))
    yield _contents(named)
    yield _said(report)
    yield _limits(report.sections)
    for name, _section, table in named:
        yield as_table(table, name)


def _named(sections: Iterable[Section]) -> Iterator[tuple[str, Section, ReportTable]]:
    """Each table with a name that a workbook takes, and no two the same."""
    taken = {name.casefold() for name in (_("Contents"), _("What it says"), _("Limits"))}
    for section in sections:
        for table in section.tables:
            name = _sheet_name(table.title, taken)
            taken.add(name.casefold())
            yield name, section, table


def _sheet_name(title: str, taken: set[str]) -> str:
    plain = " ".join(title.translate(_NOT_IN_A_NAME).split()).strip("' ") or _("Table")
    name, number = plain[:LONGEST_NAME].strip("' "), 1
    while name.casefold() in taken or name.casefold() == "history":
        number += 1
        ending = f" {number}"
        name = plain[: LONGEST_NAME - len(ending)].strip("' ") + ending
    return name


def _contents(named: list[tuple[str, Section, ReportTable]]) -> Table:
    columns = (
        Column(_("Sheet"), _("Name of the sheet")),
        Column(_("Section"), _("Where it stands in the report")),
        Column(_("Table"), _("Its title there")),
        Column(_("Rows"), _("How many"), Reads.WHOLE),
        Column(_("Note"), _("What is said beneath it")),
    )
    rows = (
        (name, section.title, table.title, len(table.rows), table.note)
        for name, section, table in named
    )
    return Table(_("Contents"), columns, rows)


def _said(report: Report) -> Table:
    columns = (
        Column(_("Section"), _("Where it stands in the report")),
        Column(_("Sentence"), _("What is to be read in it")),
    )
    rows = [(_("First of all"), one.words) for one in report.findings]
    rows += [(section.title, said) for section in report.sections for said in section.says]
    return Table(_("What it says"), columns, rows)


def _limits(sections: Iterable[Section]) -> Table:
    columns = (
        Column(_("Section"), _("Where it stands in the report")),
        Column(_("About"), _("The chart, or the whole section")),
        Column(_("Limit"), _("What its numbers cannot show")),
    )
    rows = []
    for section in sections:
        rows += [(section.title, _("the whole section"), limit) for limit in section.limits]
        rows += [
            (section.title, figure.chart.title, limit)
            for figure in section.figures
            for limit in figure.limits
        ]
    return Table(_("Limits"), columns, rows)
