"""A made-up report with one of everything that a report can hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

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

OCTOBER = Span(date(2026, 10, 1), date(2026, 10, 31))

SURVIVAL = Chart(
    title="Hub and sensor: still sound by age",
    says="Of a hundred that reach 12 months, about 91 reach 24.",
    x=Axis("Age", "months", low=0, high=36),
    y=Axis("Still sound", "%", low=0.0, high=100.0),
    layers=(
        Band("95 % limits", ((12.0, 88.0, 99.0), (24.0, 84.5, 95.25)), role="soft"),
        Line("still sound", ((12.0, 97.0), (24.0, 91.0)), dashed=True),
        Level("half", 50.0),
        Dots("at risk fewer than ten", ((30.0, 90.0),), role="near"),
    ),
    table=Table("At risk", ("Months", "At risk"), (("12", "84"), ("24", "31"))),
)
CAUSES = Chart(
    title="Comebacks by cause",
    says="Workmanship was decided twice, the part once.",
    x=Axis("Cause"),
    y=Axis("Comebacks", zero=True),
    layers=(Bars("comebacks", (("workmanship", 2.0), ("the part", 1.0)), ("bad", "value")),),
)
RATES = ReportTable(
    key="failure-rates",
    title="Failures by component",
    columns=(
        Column("Component", "What failed"),
        Column("Since", "Seen since", Reads.DATE),
        Column("Units seen", "How many were looked at", Reads.WHOLE),
        Column("Failures", "How many failed", Reads.WHOLE),
        Column("Rate", "Failures per 1000 unit-months", Reads.NUMBER),
        Column("Cost", "What they cost", Reads.AMOUNT),
    ),
    rows=(
        (
            Shown("Hub and sensor"),
            Shown("3 May 2025", date(2025, 5, 3)),
            Shown("412", 412, Way("office-component", (7,), "exit=failed")),
            Shown("11", 11),
            Shown("2.10 (1.05 to 3.76)", Decimal("2.1047")),
            Shown("1204.50", Decimal("1204.50")),
        ),
        (
            Shown("=Modulator"),
            Shown("–"),
            Shown("40", 40),
            Shown("0", 0),
            Shown("too few to judge"),
            Shown("–"),
        ),
    ),
    note="Limits are exact (Garwood), 95 %.",
)
FAILURES = Section(
    key="failures",
    title="Failures",
    says=("Of 412 hubs 11 failed: 1.05 to 3.76 per 1000 unit-months.",),
    figures=(Figure(SURVIVAL, ("Below ten at risk no line is drawn.",)),),
    tables=(RATES,),
    limits=("Failures repaired elsewhere are not seen.",),
    findings=(
        Finding("batch", "Batch A17 fails more often.", 93.5, Way("office-jobs", ("failed",))),
    ),
)
COMEBACKS = Section(
    key="comebacks",
    title="Comebacks",
    says=("3 of 61 repairs came back; 2 returns wait for a decision.",),
    figures=(Figure(CAUSES),),
    tables=(
        ReportTable(
            key="comeback-causes",
            title="Comebacks by cause",
            columns=(Column("Cause", "Why"), Column("Count", "How many", Reads.WHOLE)),
            rows=((Shown("workmanship"), Shown("2", 2)), (Shown("the part"), Shown("1", 1))),
        ),
    ),
)


def a_report(span: Span = OCTOBER, **changes: object) -> Report:
    whole = Report("Quay Street", span, FAILURES.findings, (FAILURES, COMEBACKS))
    return replace(whole, **changes)  # type: ignore[arg-type]


def with_cell(report: Report, table: str, row: int, column: int, cell: Shown) -> Report:
    """The report with one other cell."""
    sections = []
    for section in report.sections:
        tables = []
        for one in section.tables:
            rows = [list(cells) for cells in one.rows]
            if one.key == table:
                rows[row][column] = cell
            tables.append(replace(one, rows=tuple(tuple(cells) for cells in rows)))
        sections.append(replace(section, tables=tuple(tables)))
    return replace(report, sections=tuple(sections))
