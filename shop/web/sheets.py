"""Tables as files: CSV that flows row by row, and a workbook that is never whole in memory."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import IO, Any

import xlsxwriter
from django.http import StreamingHttpResponse

from shop.tables import Cell, Column, Reads, Table, text_rows

BOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ROWS_OF_A_SHEET = 1_048_576
LONGEST_CELL = 32_767
# So that spreadsheets read the letters rightly.
BYTE_ORDER_MARK = "\ufeff"
_LINES_AT_ONCE = 500
_BYTES_AT_ONCE = 64 * 1024


def csv_answer(table: Table, filename: str) -> StreamingHttpResponse:
    """The table as CSV (UTF-8, commas, RFC 4180), sent while it is read."""
    answer = StreamingHttpResponse(csv_lines(table), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def csv_lines(table: Table) -> Iterator[str]:
    """Pieces of the file, each some hundred lines long."""
    writer = csv.writer(_Echo())
    piece = [BYTE_ORDER_MARK]
    for row in text_rows(table):
        piece.append(writer.writerow(row))
        if len(piece) >= _LINES_AT_ONCE:
            yield "".join(piece)
            piece.clear()
    yield "".join(piece)


def book_answer(tables: Iterable[Table], filename: str) -> StreamingHttpResponse:
    """The tables as one workbook, a sheet each, made when the answer is first read."""
    answer = StreamingHttpResponse(_book_pieces(tables), content_type=BOOK)
    answer.headers["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def _book_pieces(tables: Iterable[Table]) -> Iterator[bytes]:
    """The workbook by way of a file that is gone when it was sent, or when the reader left."""
    with tempfile.TemporaryFile() as file:
        write_book(tables, file)
        file.seek(0)
        while piece := file.read(_BYTES_AT_ONCE):
            yield piece


def write_book(
    tables: Iterable[Table], file: IO[bytes], *, rows_of_a_sheet: int = ROWS_OF_A_SHEET
) -> None:
    """A table longer than a sheet goes on in the next one, under the same heads.

    Amounts are numbers shown with two decimals, dates are dates, and nothing typed is ever taken
    for a formula or a link.
    """
    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
        "remove_timezone": True,
    }
    with xlsxwriter.Workbook(file, options) as book:
        looks = _looks(book)
        for table in tables:
            _write_table(book, table, looks, rows_of_a_sheet)


class _Echo:
    """A file that gives back what is written to it."""

    def write(self, text: str) -> str:
        return text


def _looks(book: Any) -> dict[str, Any]:
    return {
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
        Reads.DATE: book.add_format({"num_format": "yyyy-mm-dd"}),
        Reads.AMOUNT: book.add_format({"num_format": "#,##0.00"}),
        Reads.WHOLE: book.add_format({"num_format": "0"}),
        Reads.NUMBER: book.add_format(),
    }


_WIDTHS = {Reads.TEXT: 22, Reads.DATE: 12, Reads.AMOUNT: 13, Reads.WHOLE: 10, Reads.NUMBER: 10}


def _write_table(book: Any, table: Table, looks: dict[str, Any], most: int) -> None:
    sheet, row = None, most
    part = 0
    for cells in table.rows:
        if row >= most:
            part += 1
            sheet, row = _begin_sheet(book, table, looks, part), 1
        for place, (column, cell) in enumerate(zip(table.columns, cells, strict=True)):
            _write_cell(sheet, row, place, column, cell, looks)
        row += 1
    if sheet is None:
        _begin_sheet(book, table, looks, 1)


def _begin_sheet(book: Any, table: Table, looks: dict[str, Any], part: int) -> Any:
    sheet = book.add_worksheet(table.title if part == 1 else f"{table.title} {part}")
    sheet.freeze_panes(1, 0)
    for place, column in enumerate(table.columns):
        sheet.set_column(place, place, _WIDTHS[column.reads])
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column.name, looks["head"])
    return sheet


def _write_cell(
    sheet: Any, row: int, place: int, column: Column, cell: Cell, looks: dict[str, Any]
) -> None:
    if cell is None or cell == "":
        return
    if isinstance(cell, str):
        sheet.write_string(row, place, cell[:LONGEST_CELL])
    elif isinstance(cell, date):
        sheet.write_datetime(row, place, cell, looks[Reads.DATE])
    else:
        # A workbook knows binary fractions only; to 15 digits they carry every cent.
        number = float(cell) if isinstance(cell, Decimal) else cell
        sheet.write_number(row, place, number, looks[column.reads])
