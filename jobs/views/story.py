"""The story of a job: who did what when, as sentences."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries.orders import get_order
from jobs.queries.story import story_of
from jobs.views.sheet import sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_WORKSHOP)
def story(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    page = page_of(request, story_of(request.actor, order), per_page=100)
    return sheet(request, order, "jobs/story.html", current="story", page=page)
