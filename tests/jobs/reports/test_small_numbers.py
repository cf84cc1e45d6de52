"""A small rate, and a p, is nought neither on the page nor in a file."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import openpyxl
import pytest

from jobs.reports import files
from jobs.reports.document import ReportTable, Shown
from jobs.reports.figures.failure_words import in_file, number, p_words
from shop.tables import Column, Reads
from shop.web.sheets import csv_lines, write_book

P = 0.00001234567


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (0.0, "below 0.0001"),
        (0.0000999, "below 0.0001"),
        (0.0001, "0.0001"),
        (0.00044, "0.0004"),
        (0.001, "0.001"),
        (0.0409, "0.041"),
        (1.0, "1.000"),
    ],
)
def test_a_p_is_never_read_as_nought(p: float, words: str) -> None:
    assert p_words(p) == words


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (P, "0.00001235"),
        (0.0224, "0.02240"),
        (0.1, "0.1000"),
        (2.10474, "2.1047"),
        (412.0, "412.0000"),
        (0.0, "0.0000"),
        (-0.00056649, "-0.0005665"),
    ],
)
def test_a_file_holds_four_decimals_or_four_figures(value: float, text: str) -> None:
    assert f"{in_file(value):f}" == text


def test_a_small_p_arrives_in_both_kinds_of_files() -> None:
    columns = (Column("Component", ""), Column("p", "", Reads.NUMBER))
    table = ReportTable(
        "ps", "Ps", columns, ((Shown("Hub"), replace(number(P), words=p_words(P))),)
    )
    text = "".join(csv_lines(files.as_table(table))).removeprefix("\ufeff")
    assert list(csv.reader(io.StringIO(text)))[1] == ["Hub", "0.00001235"]
    file = io.BytesIO()
    write_book([files.as_table(table)], file)
    cell = openpyxl.load_workbook(file)["Ps"]["B2"]
    assert (cell.value, cell.number_format) == (0.00001235, "General")
