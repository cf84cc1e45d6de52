"""Issued reports, and those under way, as pages show them. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from jobs.models import MonthlyReport, MonthlyReportPaper, ReportMaking
from jobs.reports import files, frozen
from jobs.reports.document import Report, ReportTable
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Issued:
    """An issued report with what it says, as it was kept."""

    row: MonthlyReport
    report: Report
    paper: MonthlyReportPaper

    @property
    def tables(self) -> tuple[ReportTable, ...]:
        return tuple(table for section in self.report.sections for table in section.tables)

    @property
    def changed(self) -> list[str]:
        return self.row.changed.splitlines()

    @property
    def revised_by(self) -> MonthlyReport | None:
        later: MonthlyReport | None = getattr(self.row, "revised_by", None)
        return later


def reports_of(actor: Actor) -> QuerySet[MonthlyReport]:
    """All that were issued, newest first, with who did and by which each was revised."""
    rows = MonthlyReport.objects.of(actor)
    return rows.select_related("issued_by", "revises", "revised_by")


def get_report(actor: Actor, number: str) -> MonthlyReport:
    found: MonthlyReport = get_object_or_404(reports_of(actor), number=number.upper())
    return found


def get_issued(actor: Actor, number: str) -> Issued:
    row = get_report(actor, number)
    paper = MonthlyReportPaper.objects.defer("a4", "letter").get(report=row)
    return Issued(row, frozen.from_json(paper.document), paper)


def get_table(actor: Actor, number: str, key: str) -> ReportTable:
    found = files.table_of(get_issued(actor, number).report.sections, key)
    if found is None:
        raise Http404
    return found


def makings_of(actor: Actor) -> QuerySet[ReportMaking]:
    """Those that are under way."""
    rows = ReportMaking.objects.of(actor).filter(report__isnull=True)
    return rows.select_related("begun_by", "workshop").defer("document")


def get_making(actor: Actor, pk: int) -> ReportMaking:
    rows = ReportMaking.objects.of(actor).select_related("begun_by", "workshop", "report")
    found: ReportMaking = get_object_or_404(rows, pk=pk)
    return found
