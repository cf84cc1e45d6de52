"""A vehicle's own page: what it is, whose it is, and everything it came in for."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.timezone import localtime
from django.views.decorators.http import require_GET, require_POST

from diagnostics.models import Session
from diagnostics.services import sessions
from jobs.queries.earlier import checks_of, open_order_of, visits_of
from jobs.queries.units import units_on
from jobs.queries.vehicle_cover import cover_of
from shop.queries.vehicles import vehicles_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of

FEW_DISTANCES = 12
FEW_CHECKS = 6
VISITS_A_PAGE = 10


@require_GET
@permit(Permit.SEE_WORKSHOP)
def vehicle(request: Request, pk: int) -> HttpResponseBase:
    row = get_object_or_404(vehicles_of(request.actor), pk=pk)
    readings = list(row.odometer_readings.select_related("by")[: FEW_DISTANCES + 1])
    last = readings[0] if readings else None
    context = {
        "vehicle": row,
        "seen_again": bool(last and row.gone_on and localtime(last.read_at).date() > row.gone_on),
        "here": open_order_of(request.actor, row),
        "page": page_of(request, visits_of(request.actor, row), VISITS_A_PAGE),
        "checks": checks_of(request.actor, row)[:FEW_CHECKS],
        "check_form": ActForm(),
        "readings": readings[:FEW_DISTANCES],
        "more_readings": len(readings) > FEW_DISTANCES,
        "last": last,
        "units": units_on(request.actor, row),
        "cover": cover_of(row, last.distance_m if last else None),
    }
    return show(request, "jobs/vehicle.html", context)


@require_POST
@permit(Permit.DIAGNOSE)
def check_begin(request: Request, pk: int) -> HttpResponseBase:
    """Measure on a vehicle without taking it in: a quick check at the kerb."""
    row = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form, opened = ActForm(request.POST), list[Session]()
    if form.is_valid():
        act = form.act_id
        attempt(
            request,
            lambda: opened.append(sessions.open_session(request.actor, vehicle=row, act=act)),
        )
    begun = opened[0] if opened else checks_of(request.actor, row).first()
    slug = request.actor.workshop.slug
    return go(request, reverse("session", args=[slug, begun.pk]) if begun else _page(request, pk))


def _page(request: Request, pk: int) -> str:
    return reverse("vehicle", args=[request.actor.workshop.slug, pk])
