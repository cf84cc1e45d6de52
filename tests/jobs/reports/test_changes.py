"""What a revision says it changed, cell by cell and sentence by sentence."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from jobs.reports.document import Report, Section, Shown
from jobs.reports.monthly.changes import changes
from shop.charting import Line
from tests.jobs.reports.reports_made import FAILURES, RATES, a_report, with_cell


def with_first(report: Report, **changed: object) -> Report:
    """The report with another first section."""
    first: Section = replace(report.sections[0], **changed)  # type: ignore[arg-type]
    return replace(report, sections=(first, *report.sections[1:]))


def test_the_same_report_changed_nothing() -> None:
    assert changes(a_report(), a_report()) == ()


def test_one_cell_is_one_line_with_both_values() -> None:
    after = with_cell(a_report(), "failure-rates", 0, 3, Shown("12", 12))
    assert changes(a_report(), after) == (
        "Failures by component, Hub and sensor, Failures: 12, was 11",
    )


def test_a_value_that_reads_the_same_is_told_too() -> None:
    after = with_cell(
        a_report(), "failure-rates", 0, 4, Shown("2.10 (1.05 to 3.76)", Decimal("2.1049"))
    )
    (line,) = changes(a_report(), after)
    assert line.startswith("Failures by component, Hub and sensor, Rate: 2.10 (1.05 to 3.76)")


def test_rows_that_come_and_go_are_named_with_what_they_held() -> None:
    more = (*RATES.rows, (Shown("Pump"), *RATES.rows[0][1:]))
    after = with_first(a_report(), tables=(replace(RATES, rows=more),))
    (line,) = changes(a_report(), after)
    assert line.startswith("Failures by component: Pump is new (Since 3 May 2025; Units seen 412")
    (line,) = changes(after, a_report())
    assert line.startswith("Failures by component: Pump is gone (it was Since 3 May 2025")


def test_two_rows_about_the_same_are_held_against_each_other_in_order() -> None:
    twice = replace(RATES, rows=(RATES.rows[0], RATES.rows[0]))
    before = with_first(a_report(), tables=(twice,))
    after = with_cell(before, "failure-rates", 1, 3, Shown("12", 12))
    assert changes(before, after) == (
        "Failures by component, Hub and sensor, Failures: 12, was 11",
    )


def test_the_order_of_rows_is_no_change() -> None:
    turned = replace(RATES, rows=RATES.rows[::-1])
    assert changes(a_report(), with_first(a_report(), tables=(turned,))) == ()


def test_other_columns_are_said_in_one_line() -> None:
    fewer = replace(
        RATES, columns=RATES.columns[:2], rows=tuple(row[:2] for row in RATES.rows), note=""
    )
    after = with_first(a_report(), tables=(fewer,))
    assert changes(a_report(), after) == ("The table “Failures by component” has other columns.",)


def test_a_sentence_that_went_and_one_that_came() -> None:
    after = with_first(a_report(), says=("Nothing failed.",), limits=())
    assert changes(a_report(), after) == (
        "Failures: now it says “Nothing failed.”",
        f"Failures: it no longer says “{FAILURES.says[0]}”",
        "Failures: it no longer says “Failures repaired elsewhere are not seen.”",
    )


def test_a_chart_of_other_numbers_a_table_and_a_section_that_come_and_go() -> None:
    figure = a_report().sections[0].figures[0]
    moved = replace(figure.chart, layers=(Line("still sound", ((12.0, 96.0),)),))
    after = with_first(a_report(), figures=(replace(figure, chart=moved),), tables=())
    assert changes(a_report(), after) == (
        "The table “Failures by component” is gone.",
        "The chart “Hub and sensor: still sound by age” shows other numbers.",
    )
    shorter = replace(a_report(), sections=a_report().sections[:1])
    assert changes(a_report(), shorter) == ("The section “Comebacks” is gone.",)
    assert changes(shorter, a_report()) == ("The section “Comebacks” is new.",)


def test_a_finding_that_went() -> None:
    assert changes(a_report(), a_report(findings=())) == (
        "First of all: it no longer says “Batch A17 fails more often.”",
    )


def test_a_note_that_changed() -> None:
    after = with_first(a_report(), tables=(replace(RATES, note=""),))
    assert changes(a_report(), after) == (
        "Failures by component, note: nothing, was Limits are exact (Garwood), 95 %.",
    )
