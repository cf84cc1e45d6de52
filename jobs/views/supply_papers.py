"""A supplier order to take along: as PDF, and as a table that other programs read."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries.supply import get_supply, sheet
from jobs.queries.supply_table import table_of
from shop.roles import Permit
from shop.web import pdf
from shop.web.access import Request, permit


@require_GET
@permit(Permit.SEE_COUNTER)
def paper(request: Request, number: str) -> HttpResponseBase:
    order = get_supply(request.actor, number)
    context = {
        "order": order,
        "workshop": order.workshop,
        "sheet": sheet(request.actor, order),
    }
    made = pdf.make(
        "print/supply_order.html",
        context,
        paper=pdf.chosen_paper(request.GET.get("paper"), order.workshop),
    )
    return pdf.answer(made, f"{order.number}.pdf")


@require_GET
@permit(Permit.SEE_COUNTER)
def table(request: Request, number: str) -> HttpResponseBase:
    order = get_supply(request.actor, number)
    lines = [line.row for line in sheet(request.actor, order).lines]
    response = HttpResponse(table_of(order, lines), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{order.number}.csv"'
    response["Cache-Control"] = "no-store"
    return response
