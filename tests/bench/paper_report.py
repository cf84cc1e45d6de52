"""`python -m tests.bench.paper_report`: the month's paper, beside WeasyPrint on the ready HTML.

Ten pages with eight charts and as many tables, made up here: no database. What is measured is how
much the product adds (drawing what is not drawn yet, the template) to what setting the page costs
anyway. The first paper after a change draws its charts; the second finds them drawn.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from statistics import median
from textwrap import wrap
from time import perf_counter
from zoneinfo import ZoneInfo

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.cache import cache  # noqa: E402
from django.template.loader import render_to_string  # noqa: E402
from pypdf import PdfReader  # noqa: E402

from jobs.reports.document import (  # noqa: E402
    Figure,
    Finding,
    Report,
    ReportTable,
    Section,
    Shown,
    Span,
)
from jobs.reports.monthly.paper import Paper, context_of, draw, pdf_of  # noqa: E402
from shop.charting import Axis, Band, Bars, Chart, Level, Line  # noqa: E402
from shop.models import Workshop  # noqa: E402
from shop.tables import Column, Reads  # noqa: E402
from shop.web import pdf  # noqa: E402

AIM, TURNS, SECTIONS, ROWS = 1.5, 5, 8, 12
COLUMNS = (
    Column("Component", "What is watched"),
    Column("Platform", "On which vehicles"),
    Column("Units seen", "How many were watched for any time", Reads.WHOLE),
    Column("Unit-months", "For how long", Reads.NUMBER),
    Column("Failures", "Found here, but not at a first visit", Reads.WHOLE),
    Column("Rate", "Failures per 1,000 unit-months, with 95 % limits", Reads.NUMBER),
    Column("Cost", "Of all repairs of it in the month", Reads.AMOUNT),
)
LIMIT = (
    "Failures repaired elsewhere are not seen; the rate may be higher than it is shown.",
    "Below ten units at risk no line is drawn.",
)
NOTE = (
    "Medians in one process, taking turns; A4. The ready HTML is what the template gives, with its "
    "pictures inside it. “Charts drawn already” is how the second paper of a report is made, and "
    "every later look at a draft; “nothing drawn” begins with an empty cache."
)


def report() -> Report:
    """Eight sections of a chart, a table of twelve rows, sentences and limits."""
    findings = tuple(
        Finding(f"f{at}", f"Kind {at} failed {at + 5} times in the month, 2 to 4 were usual.", 9.0)
        for at in range(5)
    )
    return Report(
        "Quay Street",
        Span(date(2026, 10, 1), date(2026, 10, 31)),
        findings,
        tuple(_section(at) for at in range(SECTIONS)),
    )


def _section(at: int) -> Section:
    says = (
        f"Of 412 units of kind {at} 11 failed: 1.05 to 3.76 per 1,000 unit-months.",
        "Nothing else changed by more than luck alone may do.",
    )
    table = ReportTable(
        f"t{at}", f"Kind {at} by component and platform", COLUMNS, _rows(), LIMIT[1]
    )
    return Section(f"s{at}", f"Section {at}", says, (Figure(_chart(at), LIMIT),), (table,), LIMIT)


def _rows() -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            Shown(f"Component {row}"),
            Shown(f"PL{row % 3}"),
            Shown(str(40 + row), 40 + row),
            Shown(f"{812 + row}.5", Decimal(f"{812 + row}.5")),
            Shown(str(row % 7), row % 7),
            Shown(f"{row % 7}.10 (0.40 to 9.20)", Decimal(row % 7)),
            Shown(f"{row * 120}.50", Decimal(row * 120)),
        )
        for row in range(ROWS)
    )


def _chart(at: int) -> Chart:
    if at % 4 == 3:
        bars = tuple((f"cause {one}", float(one + at)) for one in range(6))
        axes = Axis("Cause"), Axis("Comebacks", zero=True)
        return Chart(f"Bars {at}", "Cause 5 was decided most.", *axes, (Bars("comebacks", bars),))
    points = [(float(age), 100.0 - age * (0.4 + at / 10)) for age in range(60)]
    return Chart(
        f"Kind {at}: still sound by age",
        "Of a hundred that reach 12 months, about 91 reach 24.",
        Axis("Age", "months", low=0.0, high=60.0),
        Axis("Still sound", "%", low=0.0, high=100.0),
        (
            Band(
                "95 % limits", tuple((x, y - 3, min(100.0, y + 3)) for x, y in points), role="soft"
            ),
            Line("still sound", tuple(points)),
            Level("half", 50.0),
        ),
    )


def main() -> None:
    workshop = Workshop(name="Quay Street", slug="quay-street", address="1 Quay Street")
    at = datetime(2026, 11, 3, 9, tzinfo=ZoneInfo("UTC"))
    paper = Paper(report(), issued_as="QM1001", at=at, by="Vera S.")
    draw(paper.report)
    html = render_to_string("print/report.html", context_of(workshop, paper) | {"language": "en"})
    cases: dict[str, Callable[[], object]] = {
        "ready": lambda: pdf.set_paper(html, paper="A4"),
        "drawn": lambda: pdf_of(workshop, paper, sheet="A4"),
        "new": lambda: _from_nothing(workshop, paper),
    }
    pages = len(PdfReader(BytesIO(pdf_of(workshop, paper, sheet="A4"))).pages)
    sys.stdout.write("\n".join(_lines(_side_by_side(cases), pages)) + "\n")


def _from_nothing(workshop: Workshop, paper: Paper) -> bytes:
    cache.clear()
    return pdf_of(workshop, paper, sheet="A4")


def _side_by_side(cases: dict[str, Callable[[], object]]) -> dict[str, float]:
    taken: dict[str, list[float]] = {name: [] for name in cases}
    for _turn in range(TURNS):
        for name, do in cases.items():
            begun = perf_counter()
            do()
            taken[name].append(perf_counter() - begun)
    return {name: median(seconds) for name, seconds in taken.items()}


def _lines(seconds: dict[str, float], pages: int) -> list[str]:
    rows = [
        (f"WeasyPrint on the ready HTML, {pages} pages", seconds["ready"], None),
        ("the paper, charts drawn already", seconds["drawn"], seconds["drawn"] / seconds["ready"]),
        ("the paper, nothing drawn", seconds["new"], seconds["new"] / seconds["ready"]),
    ]
    lines = []
    for words, took, ratio in rows:
        said = "" if ratio is None else f"{ratio:8.2f}  {'aim' if ratio <= AIM else 'OVER'} {AIM:g}"
        lines.append(f"{words:<46}{took * 1000:8.0f} ms{said}")
    return [*lines, "", *wrap(NOTE, 96)]


if __name__ == "__main__":
    main()
