"""A report kept as JSON comes back exactly, and the same report always gives the same bytes."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.reports import frozen
from jobs.reports.document import (
    Figure,
    Finding,
    Report,
    ReportTable,
    Section,
    Shown,
    Span,
    Way,
)
from shop.charting import Axis, Band, Bars, Chart, Dots, Level, Line, Table
from shop.tables import Column, Reads
from tests.jobs.reports.reports_made import a_report

text = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
number = st.floats(allow_nan=False)
days = st.dates()
role: st.SearchStrategy[Any] = st.sampled_from(["value", "second", "limit", "good", "bad", "soft"])
pair = st.tuples(number, number)


def many(one: st.SearchStrategy[Any], most: int = 3) -> st.SearchStrategy[Any]:
    return st.lists(one, max_size=most).map(tuple)


cells = st.one_of(
    st.none(), text, st.integers(), days, st.decimals(allow_nan=False, allow_infinity=False)
)
ways = st.builds(Way, text, many(text | st.integers()), text)
shown = st.builds(Shown, text, cells, st.none() | ways)
columns = st.builds(Column, text, text, st.sampled_from(Reads))
tables = st.builds(ReportTable, text, text, many(columns), many(many(shown)), text)
layers = st.one_of(
    st.builds(Line, text, many(pair), role, st.booleans(), st.booleans()),
    st.builds(Dots, text, many(pair), role),
    st.builds(Band, text, many(st.tuples(number, number, number)), role),
    st.builds(Level, text, number, role, st.sampled_from(["x", "y"])),
    st.builds(Bars, text, many(st.tuples(text, number)), many(role)),
)
ends = st.none() | number
axes = st.builds(Axis, text, text, ends, ends, st.booleans(), st.booleans())
below = st.none() | st.builds(Table, text, many(text), many(many(text)))
charts = st.builds(Chart, text, text, axes, axes, many(layers), st.booleans(), below)
findings = st.builds(Finding, text, text, number, st.none() | ways)
sections = st.builds(
    Section,
    text,
    text,
    many(text),
    many(st.builds(Figure, charts, many(text)), 2),
    many(tables, 2),
    many(text),
    many(findings, 2),
)
reports = st.builds(Report, text, st.builds(Span, days, days), many(findings, 2), many(sections, 2))


@given(reports)
def test_any_report_comes_back_as_it_was_and_byte_for_byte(report: Report) -> None:
    kept = frozen.to_json(report)
    again = frozen.from_json(kept)
    assert again == report
    assert frozen.to_json(again) == kept


@given(many(sections))
def test_sections_made_so_far_come_back(made: tuple[Section, ...]) -> None:
    assert frozen.sections_from_json(frozen.sections_to_json(made)) == made


def test_nothing_made_so_far_is_no_section() -> None:
    assert frozen.sections_from_json("") == ()


def test_types_come_back_and_not_only_values() -> None:
    table = frozen.from_json(frozen.to_json(a_report())).sections[0].tables[0]
    kinds = [type(cell.value).__name__ for cell in table.rows[0]]
    assert kinds == ["NoneType", "date", "int", "int", "Decimal", "Decimal"]
    assert table.columns[1].reads is Reads.DATE


def test_a_float_that_is_no_number_is_kept_as_what_it_is() -> None:
    whole = a_report()
    finding = replace(whole.findings[0], weight=math.nan)
    kept = frozen.to_json(replace(whole, findings=(finding,)))
    assert math.isnan(frozen.from_json(kept).findings[0].weight)
    assert "NaN" not in kept


def test_what_is_left_out_today_is_read_when_fields_were_added() -> None:
    """A report kept before a field came reads as if it said nothing there."""
    data = json.loads(frozen.to_json(a_report()))
    table = data["report"]["sections"][1]["tables"][0]
    assert "note" not in table
    assert frozen.from_json(json.dumps(data)) == a_report()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda data: data.update(schema="another"), "no kept report"),
        (lambda data: data.update(version=2), "version 2"),
        (lambda data: data["report"].pop("workshop"), "report has no 'workshop'"),
        (lambda data: data["report"].update(more=1), "'more', which is not known"),
        (lambda data: data["report"]["span"].update(month="2026-10-01"), "report.span.month"),
        (lambda data: data["report"].update(sections={}), "report.sections is not a list"),
        (lambda data: _layer(data).update(kind="pie"), "no layer of a chart"),
        (lambda data: _layer(data).update(role="loud"), "role cannot be read"),
        (lambda data: _layer(data).update(points=[[1, 2]]), "2 values in place of 3"),
        (lambda data: _column(data).update(reads="words"), "reads cannot be read"),
    ],
)
def test_what_is_no_report_is_refused_with_its_place(change: Any, says: str) -> None:
    data = json.loads(frozen.to_json(a_report()))
    change(data)
    with pytest.raises(frozen.FrozenError, match=says):
        frozen.from_json(json.dumps(data))


@pytest.mark.parametrize("kept", ["", "{", "[]", "[" * 100_000])
def test_what_is_no_json_is_refused(kept: str) -> None:
    with pytest.raises(frozen.FrozenError):
        frozen.from_json(kept)


def test_a_cell_of_another_type_is_not_kept() -> None:
    odd: Any = 1.5
    section = replace(
        a_report().sections[1],
        tables=(ReportTable("t", "T", (Column("A", "a"),), ((Shown("1.5", odd),),)),),
    )
    with pytest.raises(frozen.FrozenError, match="value"):
        frozen.to_json(replace(a_report(), sections=(section,)))


def _layer(data: Any) -> Any:
    return data["report"]["sections"][0]["figures"][0]["chart"]["layers"][0]


def _column(data: Any) -> Any:
    return data["report"]["sections"][0]["tables"][0]["columns"][1]
