"""Finding anything: one box, and what it finds kind by kind."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET

from jobs.queries.find import FEWEST_LETTERS, SEARCHES, the_order
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import go, show
from shop.web.paging import page_of

FEW = 5
TITLES = {
    "orders": _("Repair orders"),
    "vehicles": _("Vehicles"),
    "customers": _("Customers"),
    "parts": _("Parts on orders"),
    "flags": _("Flags read"),
}


@require_GET
@permit(Permit.SEE_WORKSHOP)
def find(request: Request) -> HttpResponseBase:
    """A few of every kind; with ?kind= one kind, paged. An exact order number opens the order."""
    text, kind = " ".join(request.GET.get("q", "").split()), request.GET.get("kind", "")
    context: dict[str, Any] = {"q": text, "kind": kind, "fewest": FEWEST_LETTERS}
    if len(text) >= FEWEST_LETTERS:
        if kind in SEARCHES:
            context |= {
                "page": page_of(request, SEARCHES[kind](request.actor, text)),
                "title": TITLES[kind],
            }
        elif order := None if request.htmx else the_order(request.actor, text):
            return go(request, reverse("order", args=[order.workshop.slug, order.number]))
        else:
            context["groups"] = _groups(request, text)
    return show(request, "jobs/find.html", context, partial="found")


def _groups(request: Request, text: str) -> list[dict[str, Any]]:
    """Of every kind the first few, and whether there are more: one query a kind."""
    groups = []
    for kind, search in SEARCHES.items():
        rows = list(search(request.actor, text)[: FEW + 1])
        if rows:
            groups.append(
                {
                    "kind": kind,
                    "title": TITLES[kind],
                    "rows": rows[:FEW],
                    "more": len(rows) > FEW,
                }
            )
    return groups
