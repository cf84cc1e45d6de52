"""The scan box: what was scanned leads straight to its page."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET

from jobs.queries import scan as queries
from shop.actor import Actor
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import go, show


@require_GET
@permit(Permit.SEE_WORKSHOP)
def scan(request: Request) -> HttpResponseBase:
    """One thing found: to its page. Several, or what took its place: a list. None: a sentence."""
    seen, found = queries.scan(request.actor, request.GET.get("q", ""))
    if len(found) == 1 and not found[0].instead:
        return go(request, _url(request.actor, found[0]))
    context = {
        "seen": seen,
        "found": [{"row": row, "url": _url(request.actor, row)} for row in found],
    }
    return show(request, "jobs/scan.html", context)


def _url(actor: Actor, found: queries.Found) -> str:
    return reverse(found.name, args=[actor.workshop.slug, *found.args])
