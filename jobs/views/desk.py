"""The Desk: whose move does each job wait for?"""

from __future__ import annotations

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries import returns_page
from jobs.queries.claims import waiting
from jobs.queries.desk import desk_of
from jobs.queries.till import unbilled_count
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show


@require_GET
@permit(Permit.SEE_DESK)
def desk(request: Request) -> HttpResponseBase:
    context = {
        "desk": desk_of(request.actor),
        "unbilled": unbilled_count(request.actor),
        "claims": waiting(request.actor),
        "returns": returns_page.waiting(request.actor),
    }
    return show(request, "jobs/desk.html", context, partial="groups")
