"""The catalogue's pages in force."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from diagnostics.queries.versions import in_force
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_OFFICE)
def catalogue(request: Request) -> HttpResponseBase:
    return show(request, "diagnostics/catalogue.html", {"page": page_of(request, in_force())})
