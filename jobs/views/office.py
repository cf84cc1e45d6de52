"""The Office: what happened, month by month, and the jobs behind every figure."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries import office as queries
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of

YEARS = range(1900, 2200)


@require_GET
@permit(Permit.SEE_OFFICE)
def office(request: Request) -> HttpResponseBase:
    picture = queries.office(request.actor)
    page = page_of(request, picture.replaced, per_page=20)
    return show(request, "jobs/office.html", {"office": picture, "page": page}, partial="replaced")


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
    orders = queries.orders_with(request.actor, component, queries.first_month())
    name = queries.component_name(component)
    if name is None:
        raise Http404
    context = {"page": page_of(request, orders), "title": name, "since": queries.first_month()}
    return show(request, "jobs/office_jobs.html", context, partial="list")
