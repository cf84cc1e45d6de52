"""The Desk: whose move does each job wait for?"""

from __future__ import annotations

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries.desk import desk_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show


@require_GET
@permit(Permit.SEE_DESK)
def desk(request: Request) -> HttpResponseBase:
    return show(request, "jobs/desk.html", {"desk": desk_of(request.actor)}, partial="groups")
