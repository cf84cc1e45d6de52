"""Failures of components: of all kinds, of one, and the failed units behind each figure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from django.core.paginator import Page, Paginator
from django.http import Http404, HttpResponseBase, QueryDict
from django.views.decorators.http import require_GET

from jobs.reports.document import Section, Span
from jobs.reports.figures import component, failures
from jobs.reports.office import span_of
from jobs.reports.queries.failed_units import Narrowed, failed_units
from jobs.reports.queries.kinds import Kind, kind_of, modes_of
from jobs.views.hours import YEARS, month_asked, neighbours
from jobs.views.table_files import file_asked
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of

KINDS_A_PAGE = 20


@require_GET
@permit(Permit.SEE_OFFICE)
def all_kinds(request: Request) -> HttpResponseBase:
    span = _span(request)
    whole = failures.section(request.actor, span)
    if file := file_asked(request, [whole], span):
        return file
    section, page = _paged(whole, request.GET.get("page"))
    context = {"section": section, "page": page} | _months(span)
    return show(request, "jobs/failures.html", context)


@require_GET
@permit(Permit.SEE_OFFICE)
def sheet(request: Request, key: str) -> HttpResponseBase:
    """All that is known of how one kind fails, on all platforms or on one."""
    kind, span = _kind(key), _span(request)
    platform = request.GET.get("platform", "")
    if platform and platform not in kind.platforms.values():
        raise Http404
    sections = component.sheet(request.actor, span, key, platform)
    if file := file_asked(request, sections, span):
        return file
    context = {"kind": kind, "platform": platform, "sections": sections} | _months(span)
    return show(request, "jobs/failure_sheet.html", context)


@require_GET
@permit(Permit.SEE_OFFICE)
def jobs_behind(request: Request, key: str) -> HttpResponseBase:
    """The failed units of one kind, each with the job on which it came off."""
    kind = _kind(key)
    narrowed = _narrowed(request.GET)
    modes = modes_of(kind).words
    if narrowed.mode is not None and narrowed.mode not in modes:
        raise Http404
    context = {
        "kind": kind,
        "to": narrowed,
        "mode": modes.get(narrowed.mode or "", ""),
        "page": page_of(request, failed_units(request.actor, kind, narrowed)),
    }
    return show(request, "jobs/failure_jobs.html", context, partial="list")


def _kind(key: str) -> Kind:
    found = kind_of(key)
    if found is None:
        raise Http404
    return found


def _span(request: Request) -> Span:
    return span_of(min(month_asked(request), clock.today().replace(day=1)))


def _months(span: Span) -> dict[str, Any]:
    """The months beside that of the span; None after the one under way."""
    today = clock.today().replace(day=1)
    beside = neighbours(span.month)
    after = beside["after"] if span.month < today else None
    return {"span": span, "before": beside["before"], "after": after, "today": today}


def _paged(section: Section, number: str | None) -> tuple[Section, Page[Any]]:
    """The tables of kinds, all at the same page; the others whole."""
    by_kind = [table for table in section.tables if table.key in failures.BY_KIND]
    rows = by_kind[0].rows if by_kind else ()
    page = Paginator(rows, KINDS_A_PAGE).get_page(number)
    some = slice((page.number - 1) * KINDS_A_PAGE, page.number * KINDS_A_PAGE)
    tables = tuple(
        replace(table, rows=table.rows[some]) if table in by_kind else table
        for table in section.tables
    )
    return replace(section, tables=tables), page


def _narrowed(asked: QueryDict) -> Narrowed:
    """What the address narrows to; 404 for what cannot be."""
    return Narrowed(
        _day(asked.get("until") or f"{clock.today()}"),
        _day(since) if (since := asked.get("since")) else None,
        first="first" in asked,
        platform=asked.get("platform"),
        position=asked.get("position"),
        supplier=asked.get("supplier"),
        batch=asked.get("batch"),
        mode=asked.get("mode"),
    )


def _day(asked: str) -> date:
    try:
        day = date.fromisoformat(asked)
    except ValueError as error:
        raise Http404 from error
    if day.year not in YEARS:
        raise Http404
    return day
