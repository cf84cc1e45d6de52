"""The Office: what changed, every section of the month, and the jobs behind every figure."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.clocked import next_month
from jobs.queries import office as queries
from jobs.reports import counted
from jobs.reports import office as reports
from jobs.reports.book import book_of
from jobs.reports.findings import chosen
from jobs.views.hours import YEARS, month_asked, neighbours
from jobs.views.table_files import file_asked, named
from shop import clock
from shop.roles import Permit
from shop.web import sheets
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_OFFICE)
def office(request: Request) -> HttpResponseBase:
    """The sentences first, then each section in short."""
    span = reports.span_of(_not_to_come(month_asked(request)))
    sections = counted.sections(request.actor, span)
    context = {"span": span, "sections": sections, "findings": chosen(sections)}
    return show(request, "jobs/office.html", context | _months(span.month))


@require_GET
@permit(Permit.SEE_OFFICE)
def section(request: Request, key: str) -> HttpResponseBase:
    """One section whole, or only its first picture for the Office page, or one of its tables."""
    span = reports.span_of(_not_to_come(month_asked(request)))
    made = counted.section(request.actor, span, key, anew="table" in request.GET)
    if made is None:
        raise Http404
    if file := file_asked(request, [made], span):
        return file
    context = {"span": span, "section": made}
    context |= _months(span.month)
    return show(request, "jobs/office_section.html", context, partial="picture")


@require_GET
@permit(Permit.SEE_OFFICE)
def book(request: Request) -> HttpResponseBase:
    """Every table of the month as it would be issued now, as one workbook."""
    span = reports.span_of(_not_to_come(month_asked(request)))
    tables = book_of(reports.report(request.actor, span))
    return sheets.book_answer(tables, f"{named(request, span)}.xlsx")


@require_GET
@permit(Permit.SEE_OFFICE)
def jobs_behind(request: Request, figure: str, month: str) -> HttpResponseBase:
    try:
        first = date.fromisoformat(f"{month}-01")
    except ValueError as error:
        raise Http404 from error
    # At the ends of the calendar a month has no neighbour, and in no year there was a job.
    if first.year not in YEARS:
        raise Http404
    orders = queries.jobs_behind(request.actor, figure, first)
    if orders is None:
        raise Http404
    rule = next(rule for rule in queries.FIGURES if rule.key == figure)
    context = {"page": page_of(request, orders), "title": rule.label, "meaning": rule.meaning}
    return show(request, "jobs/office_jobs.html", context | {"month": first}, partial="list")


@require_GET
@permit(Permit.SEE_OFFICE)
def jobs_with(request: Request, component: int) -> HttpResponseBase:
    span = reports.span_of(_not_to_come(month_asked(request)))
    since = queries.first_of(span.month)
    orders = queries.orders_with(request.actor, component, since, span.until)
    name = queries.component_name(component)
    if name is None:
        raise Http404
    context = {"page": page_of(request, orders), "title": name, "since": since, "span": span}
    return show(request, "jobs/office_jobs.html", context, partial="list")


def _not_to_come(month: date) -> date:
    return min(month, clock.today().replace(day=1))


def _months(month: date) -> dict[str, date | None]:
    """The months beside this one; None after the one under way."""
    beside: dict[str, date | None] = dict(neighbours(month))
    this = clock.today().replace(day=1)
    return beside | {"after": next_month(month) if month < this else None, "today": this}
