"""Tags of held parts as PDF, in the label size of the workshop's terms."""

from __future__ import annotations

from collections.abc import Iterable

import segno
from django.conf import settings
from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from jobs.models import HeldPart
from jobs.queries import held as queries
from jobs.queries.terms import terms_of
from shop.roles import Permit
from shop.web import labels, pdf
from shop.web.access import Request, permit
from shop.web.htmx import go

MOST = 60


@require_GET
@permit(Permit.SEE_WORKSHOP)
def label(request: Request, number: str) -> HttpResponseBase:
    row = queries.get_held(request.actor, number)
    return pdf.answer(_made(request, [row], ""), f"{row.number}-tag.pdf")


@require_GET
@permit(Permit.SEE_COUNTER)
def tags(request: Request) -> HttpResponseBase:
    """The tags named in the address: a label a page, or with ?sheet several on the paper."""
    asked = request.GET.getlist("tag")[:MOST]
    rows = list(queries.tags(request.actor).filter(number__in=asked).order_by("serial"))
    if not rows:
        messages.error(request, _("Tick the tags to be printed first."))
        return go(request, reverse("held", args=[request.actor.workshop.slug]))
    paper = ""
    if "sheet" in request.GET:
        paper = pdf.chosen_paper(request.GET.get("paper"), request.actor.workshop)
    return pdf.answer(_made(request, rows, paper), "tags.pdf")


def code_of(url: str) -> str:
    """A data: address of the drawn code in black, which is all that a label printer knows."""
    drawn: str = segno.make(url, error="q").svg_data_uri(border=2)
    return drawn


def _made(request: Request, rows: Iterable[HeldPart], paper: str) -> bytes:
    terms = terms_of(request.actor.workshop)
    base = settings.BASE_URL.rstrip("/")
    shown = [
        {
            "label": queries.label_of(row),
            "qr": code_of(base + reverse("held-part", args=[row.workshop.slug, row.number])),
        }
        for row in rows
    ]
    return labels.make(
        "print/tags.html",
        {"labels": shown, "workshop": request.actor.workshop},
        width_mm=terms.tag_width_mm,
        height_mm=terms.tag_height_mm,
        paper=paper,
    )
