"""The ledger of claims, and the claims behind each of its figures."""

from __future__ import annotations

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.claims.ageing import Age
from jobs.queries import claim_cost, claim_cost_chart, claim_ledger, claim_ledger_rows
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_CLAIMS)
def ledger(request: Request) -> HttpResponseBase:
    year = claim_cost.cost_year(request.actor)
    context = {
        "ledger": claim_ledger.ledger_of(request.actor),
        "ages": list(Age),
        "year": year,
        "chart": claim_cost_chart.chart_of(request.actor, year),
    }
    return show(request, "jobs/claim_ledger.html", context)


@require_GET
@permit(Permit.SEE_CLAIMS)
def behind(request: Request) -> HttpResponseBase:
    figure = request.GET.get("of", "owed")
    found = claim_ledger_rows.behind(request.actor, figure, request.GET.get("payer", ""))
    if found is None:
        raise Http404
    context = {
        "title": found.title,
        "page": page_of(request, found.claims),
        "today": clock.today(),
    }
    return show(request, "jobs/claim_ledger_claims.html", context, partial="list")
