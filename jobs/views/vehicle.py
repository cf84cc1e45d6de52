"""A vehicle's own page: what it is, whose it is, and everything it came in for."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from jobs.queries.earlier import open_order_of, visits_of
from shop.queries.vehicles import vehicles_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of

FEW_DISTANCES = 12
VISITS_A_PAGE = 10


@require_GET
@permit(Permit.SEE_WORKSHOP)
def vehicle(request: Request, pk: int) -> HttpResponseBase:
    row = get_object_or_404(vehicles_of(request.actor), pk=pk)
    readings = list(row.odometer_readings.select_related("by")[: FEW_DISTANCES + 1])
    context = {
        "vehicle": row,
        "here": open_order_of(request.actor, row),
        "page": page_of(request, visits_of(request.actor, row), VISITS_A_PAGE),
        "readings": readings[:FEW_DISTANCES],
        "more_readings": len(readings) > FEW_DISTANCES,
        "last": readings[0] if readings else None,
    }
    return show(request, "jobs/vehicle.html", context)
