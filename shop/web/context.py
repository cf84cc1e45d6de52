"""What every page knows: the person, the workshop, the places they may enter."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shop.actor import Actor
from shop.roles import Permit

PLACES = (
    ("bay", Permit.SEE_BAY, _("Bay")),
    ("desk", Permit.SEE_DESK, _("Desk")),
    ("counter", Permit.SEE_COUNTER, _("Counter")),
    ("office", Permit.SEE_OFFICE, _("Office")),
)
THEMES = ("light", "dark", "high-contrast")


def place(request: HttpRequest) -> dict[str, Any]:
    theme = request.COOKIES.get("theme", "")
    context: dict[str, Any] = {"theme": theme if theme in THEMES else "", "actor": None}
    actor: Actor | None = getattr(request, "actor", None)
    if actor is None:
        return context
    here = request.path
    places = []
    for name, permit, label in PLACES:
        if actor.may(permit):
            url = reverse(name, kwargs={"workshop": actor.workshop.slug})
            places.append({"name": name, "url": url, "label": label, "current": here == url})
    return context | {
        "actor": actor,
        "workshop": actor.workshop,
        "places": places,
        "may": {permit.value: actor.may(permit) for permit in Permit},
    }
