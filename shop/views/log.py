"""Everything that was done in this workshop, newest first."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from shop.queries.log import log_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_OFFICE)
def listing(request: Request) -> HttpResponseBase:
    page = page_of(request, log_of(request.actor))
    return show(request, "shop/log.html", {"page": page}, partial="list")
