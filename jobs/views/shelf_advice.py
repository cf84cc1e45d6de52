"""What to keep on the shelf, and the touch that says so."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.shelf_advice import KeepForm
from jobs.queries.shelf_advice import shelf
from jobs.queries.shelf_chart import money_against_waits
from jobs.services import shelf_levels
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show

PER_PAGE = 15
CHANGES = "changes"


@require_GET
@permit(Permit.SEE_COUNTER)
def advice(request: Request) -> HttpResponseBase:
    return page(request)


def page(request: Request) -> HttpResponse:
    asked = request.GET or request.POST
    found = shelf(request.actor)
    only = asked.get("show") == CHANGES
    rows = [row for row in found.rows if row.changes] if only else found.rows
    context = {
        "shelf": found,
        "page": Paginator(rows, PER_PAGE).get_page(asked.get("page")),
        "target_percent": f"{found.target:.1%}".removesuffix("%").removesuffix(".0"),
        "only": CHANGES if only else "",
        "changes": sum(1 for row in found.rows if row.changes),
        "chart": money_against_waits(found, request.actor.workshop.currency),
    }
    return show(request, "jobs/shelf_advice.html", context, partial="advice")


@require_POST
@permit(Permit.MANAGE_STOCK)
def keep(request: Request) -> HttpResponseBase:
    form = KeepForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: shelf_levels.keep(request.actor, **data))
    else:
        messages.error(request, _("Nothing was set. Load the page again and touch the level."))
    url = reverse("shelf-advice", args=[request.actor.workshop.slug])
    return settled(request, url, lambda: page(request))
