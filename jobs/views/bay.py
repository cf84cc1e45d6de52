"""The technician's home page."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries.bay import bay_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show


@require_GET
@permit(Permit.SEE_BAY)
def bay(request: Request) -> HttpResponseBase:
    return page(request)


def page(request: Request) -> HttpResponse:
    """The Bay as it stands now, or its jobs when htmx asks."""
    return show(request, "jobs/bay.html", {"bay": bay_of(request.actor)}, partial="jobs")
