"""The papers of a job as PDF: the job card and the repair order."""

from __future__ import annotations

from typing import Any

import segno
from django.conf import settings
from django.http import Http404, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET

from jobs.cautions import BEFORE_DRIVING, FIRST
from jobs.models import RepairOrder
from jobs.queries import papers
from jobs.queries.clock_papers import clocked_papers
from jobs.stages import Stage
from shop.roles import Permit
from shop.web import pdf
from shop.web.access import Request, permit

# Room for hand notes that just fills the back of the card, on Letter too.
BLANK_ROWS, NOTE_ROWS = range(9), range(13)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def job_card(request: Request, number: str) -> HttpResponseBase:
    order = _order(request, number)
    url = settings.BASE_URL.rstrip("/") + reverse("order", args=[order.workshop.slug, number])
    context = _context(order) | {
        "paper": papers.job_card(order),
        "url": url,
        "qr": qr_code(url),
        "blank_rows": BLANK_ROWS,
        "note_rows": NOTE_ROWS,
    }
    paper = pdf.chosen_paper(request.GET.get("paper"), order.workshop)
    made = pdf.make("print/job_card.html", context, paper=paper)
    return pdf.answer(made, f"{order.number}-job-card.pdf")


@require_GET
@permit(Permit.SEE_WORKSHOP)
def repair_order(request: Request, number: str) -> HttpResponseBase:
    order = _order(request, number)
    context = _context(order) | {
        "paper": papers.repair_paper(order),
        "clocked": clocked_papers(order),
        "stage_words": Stage(order.stage).words,
    }
    paper = pdf.chosen_paper(request.GET.get("paper"), order.workshop)
    made = pdf.make("print/repair_order.html", context, paper=paper)
    return pdf.answer(made, f"{order.number}-repair-order.pdf")


def qr_code(url: str) -> str:
    """A data: address of the drawn code; a quarter of it may be dirty and it still reads."""
    drawn: str = segno.make(url, error="q").svg_data_uri(border=2, dark="#1b2a41")
    return drawn


def _order(request: Request, number: str) -> RepairOrder:
    order = papers.order_for_paper(request.actor, number)
    if order is None:
        raise Http404
    return order


def _context(order: RepairOrder) -> dict[str, Any]:
    return {
        "order": order,
        "workshop": order.workshop,
        "first": FIRST,
        "before_driving": BEFORE_DRIVING,
    }
