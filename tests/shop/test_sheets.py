"""Tables as files: whatever is in a cell comes back as it was, and nothing is a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.escape import unescape

from shop.tables import Cell, Column, Reads, Table, as_text, guarded
from shop.web.sheets import csv_lines, write_book

COLUMNS = (
    Column("Text", "words"),
    Column("Day", "a day", Reads.DATE),
    Column("Amount", "money", Reads.AMOUNT),
    Column("Count", "pieces", Reads.WHOLE),
)
amounts = st.decimals(-9_999_999_999, 9_999_999_999, places=2)
# What spreadsheets trip over, and letters beyond ASCII.
texts = st.text(st.sampled_from("=+-@'\", ;a1é中\n\t\x07"), max_size=12)
rows = st.lists(
    st.tuples(texts, st.dates(date(1990, 1, 1), date(2199, 12, 31)), amounts, st.integers(-9, 9)),
    max_size=6,
)


def table_of(cells: list[tuple[Cell, ...]], title: str = "Rows") -> Table:
    return Table(title, COLUMNS, iter(cells))


def from_csv(table: Table) -> list[list[str]]:
    text = "".join(csv_lines(table)).removeprefix("\ufeff")
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@now", "'@now"),
        ("\t=1", "'\t=1"),
        ("\r=1", "'\r=1"),
        ("  =1", "'  =1"),
        ("a=1", "a=1"),
        ("", ""),
        ("PL2-20-210", "PL2-20-210"),
    ],
)
def test_text_that_could_be_a_formula_is_guarded(typed: str, kept: str) -> None:
    assert guarded(typed) == kept


def test_numbers_and_days_are_not_text() -> None:
    assert as_text(Decimal("-12.50")) == "-12.50"
    assert as_text(Decimal("1E+3")) == "1000"
    assert as_text(-3) == "-3"
    assert as_text(date(2026, 3, 1)) == "2026-03-01"
    assert as_text(None) == ""


@given(rows)
def test_csv_comes_back_as_it_was_and_no_text_begins_a_formula(
    cells: list[tuple[Cell, ...]],
) -> None:
    heads, *found = from_csv(table_of(cells))
    assert heads == [column.name for column in COLUMNS]
    assert len(found) == len(cells)
    for (text, day, amount, count), back in zip(cells, found, strict=True):
        assert back[0].removeprefix("'") == str(text).removeprefix("'")
        assert not back[0].lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))
        assert date.fromisoformat(back[1]) == day
        assert Decimal(back[2]) == amount
        assert int(back[3]) == count


@settings(max_examples=25)
@given(rows)
def test_a_workbook_comes_back_as_it_was(cells: list[tuple[Cell, ...]]) -> None:
    file = io.BytesIO()
    write_book([table_of(cells)], file)
    sheet = openpyxl.load_workbook(file)["Rows"]
    found = list(sheet.iter_rows(min_row=2))
    # A row of nothing but an empty text is there all the same: it has its day and its numbers.
    assert len(found) == len(cells)
    for (text, day, amount, count), back in zip(cells, found, strict=True):
        assert unescape(back[0].value or "") == text  # ECMA-376 writes control signs as _x0007_
        assert back[0].data_type != "f"
        assert back[1].value.date() == day
        assert round(Decimal(repr(back[2].value)), 2) == amount
        assert back[2].number_format == "#,##0.00"
        assert back[3].value == count


def test_a_long_table_goes_on_in_the_next_sheet() -> None:
    file = io.BytesIO()
    day = date(2026, 3, 1)
    cells: list[tuple[Cell, ...]] = [(f"row {n}", day, Decimal(n), n) for n in range(7)]
    write_book([table_of(cells), table_of([], "None")], file, rows_of_a_sheet=4)
    book = openpyxl.load_workbook(file)
    assert book.sheetnames == ["Rows", "Rows 2", "Rows 3", "None"]
    counts = [[row[0].value for row in sheet.iter_rows()] for sheet in book]
    assert [len(column) for column in counts] == [4, 4, 2, 1]
    assert all(column[0] == "Text" for column in counts)
    assert [name for column in counts for name in column[1:]] == [f"row {n}" for n in range(7)]


def test_csv_goes_out_while_rows_are_still_read() -> None:
    taken = []

    def slowly() -> Iterator[tuple[Cell, ...]]:
        for number in range(2000):
            taken.append(number)
            yield ("x", None, None, number)

    pieces = csv_lines(Table("Rows", COLUMNS, slowly()))
    assert next(pieces).startswith("\ufeffText,Day")
    assert len(taken) < 1000
