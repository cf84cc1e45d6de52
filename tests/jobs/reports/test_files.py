"""Tables of a report as CSV and as a workbook, read back by another program."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import datetime

import openpyxl
import pytest

from jobs.reports import book as books
from jobs.reports import files
from jobs.reports.document import Report
from shop.web.sheets import csv_lines, write_book
from tests.jobs.reports.reports_made import RATES, a_report

NAMES = ["Contents", "What it says", "Limits", "Failures by component", "Comebacks by cause"]


def rows_of_csv(report: Report, key: str) -> list[list[str]]:
    table = files.table_of(report.sections, key)
    assert table is not None
    text = "".join(csv_lines(files.as_table(table))).removeprefix("\ufeff")
    return list(csv.reader(io.StringIO(text)))


def book_of(report: Report) -> openpyxl.Workbook:
    file = io.BytesIO()
    write_book(books.book_of(report), file)
    return openpyxl.load_workbook(file)


def test_csv_holds_values_and_guards_what_looks_like_a_formula() -> None:
    heads, hub, modulator = rows_of_csv(a_report(), "failure-rates")
    assert heads == ["Component", "Since", "Units seen", "Failures", "Rate", "Cost"]
    assert hub == ["Hub and sensor", "2025-05-03", "412", "11", "2.1047", "1204.50"]
    assert modulator == ["'=Modulator", "", "40", "0", "", ""]


def test_a_table_that_is_not_there_is_none() -> None:
    assert files.table_of(a_report().sections, "another") is None


def test_a_workbook_has_a_sheet_for_each_table_and_says_its_limits() -> None:
    book = book_of(a_report())
    assert book.sheetnames == NAMES
    contents = list(book["Contents"].values)
    assert contents[1] == (
        "Failures by component",
        "Failures",
        "Failures by component",
        2,
        "Limits are exact (Garwood), 95 %.",
    )
    said = [row[1] for row in book["What it says"].values]
    assert "Batch A17 fails more often." in said
    assert "Of 412 hubs 11 failed: 1.05 to 3.76 per 1000 unit-months." in said
    limits = [row[1:] for row in book["Limits"].values]
    assert ("the whole section", "Failures repaired elsewhere are not seen.") in limits
    assert (
        "Hub and sensor: still sound by age",
        "Below ten at risk no line is drawn.",
    ) in limits


def test_numbers_are_numbers_days_are_days_and_formulas_are_text() -> None:
    sheet = book_of(a_report())["Failures by component"]
    hub = [cell.value for cell in sheet[2]]
    assert hub == ["Hub and sensor", datetime(2025, 5, 3), 412, 11, 2.1047, 1204.5]  # noqa: DTZ001
    assert sheet["A3"].value == "=Modulator"
    assert sheet["A3"].data_type == "s"
    assert [sheet.cell(3, at).value for at in (2, 5, 6)] == [None, None, None]


@pytest.mark.parametrize(
    "title",
    ["A/B [c]: d*e?f\\g", "'quoted'", "x" * 60, "Contents", "History", "", "Failures by component"],
)
def test_any_title_makes_a_sheet_of_its_own(title: str) -> None:
    whole = a_report()
    odd = replace(RATES, key="odd", title=title)
    section = replace(whole.sections[1], tables=(odd, *whole.sections[1].tables, odd))
    book = book_of(replace(whole, sections=(whole.sections[0], section)))
    assert len(book.sheetnames) == 7
    assert all(len(name) <= books.LONGEST_NAME for name in book.sheetnames)
