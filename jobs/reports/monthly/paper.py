"""The monthly report on paper: a cover, contents, its sections, and how it was worked out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from jobs.models import MonthlyReport
from jobs.reports.document import Report
from jobs.reports.monthly.laid_out import (
    SectionOnPaper,
    TableOnPaper,
    laid_out,
    tables_on_paper,
)
from jobs.reports.monthly.method import Method, method_of
from jobs.reports.monthly.months import named
from shop import clock
from shop.models import Workshop
from shop.web import charts, pdf
from shop.web.chart_size import WIDE

MOST_ON_THE_COVER = 12


@dataclass(frozen=True, slots=True)
class Paper:
    """What stands on the cover. A draft is not issued as anything, and says so.

    `by` empty: it was issued by itself at the month's end. `revises`: the one that it corrects.
    `counted_at`: as of when the books were read; of a draft, now.
    """

    report: Report
    issued_as: str = ""
    at: datetime | None = None
    counted_at: datetime | None = None
    by: str = ""
    revises: MonthlyReport | None = None
    because: str = ""
    changed: tuple[str, ...] = ()

    @property
    def month(self) -> str:
        return named(self.report.span.month)

    @property
    def draft(self) -> bool:
        return not self.issued_as

    @property
    def number(self) -> str:
        """As it stands on every page."""
        return self.issued_as or _("draft")

    @property
    def changed_first(self) -> tuple[str, ...]:
        return self.changed[:MOST_ON_THE_COVER]

    @property
    def changed_later(self) -> tuple[str, ...]:
        return self.changed[MOST_ON_THE_COVER:]

    @property
    def sections(self) -> tuple[SectionOnPaper, ...]:
        return laid_out(self.report.sections)

    @property
    def measured(self) -> TableOnPaper:
        """How often limits held, for the page of methods."""
        (table,) = tables_on_paper([self.method.measured])
        return table

    @property
    def method(self) -> Method:
        return method_of(self.report.span, self.counted_at or clock.now())


def pdf_of(workshop: Workshop, paper: Paper, *, sheet: str) -> bytes:
    """The paper on "A4" or "Letter"."""
    return pdf.make("print/report.html", context_of(workshop, paper), paper=sheet)


def context_of(workshop: Workshop, paper: Paper) -> dict[str, Any]:
    return {"paper": paper, "workshop": workshop, "span": paper.report.span}


def draw(report: Report) -> int:
    """Draw every chart once, so that both papers find them drawn. How many there are."""
    figures = [figure for section in report.sections for figure in section.figures]
    for figure in figures:
        charts.drawn(figure.chart, WIDE)
    return len(figures)
