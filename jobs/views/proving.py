"""Proving the repair, and the vehicle leaving."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.cautions import BEFORE_DRIVING
from jobs.forms.proving import LeaveForm, ReleaseForm, RoadTestForm
from jobs.queries.orders import get_order, marks_of
from jobs.queries.proving import proving_sheet
from jobs.services import proving as driving
from jobs.services import release as leaving
from jobs.stages import Stage
from jobs.views.sheet import order_url, renewed, settled, sheet
from shop.roles import Permit
from shop.services.odometer import OdometerInput
from shop.web.access import Request, permit
from shop.web.htmx import attempt

PROVES = frozenset({Stage.PROVING, Stage.READY})


@require_GET
@permit(Permit.SEE_WORKSHOP)
def proving(request: Request, number: str) -> HttpResponseBase:
    return page(request, number)


def page(request: Request, number: str, **forms: Any) -> HttpResponse:
    order = get_order(request.actor, number)
    seen = {"revision": order.revision}
    blank = {
        "road_form": RoadTestForm(workshop=request.actor.workshop),
        "release_form": ReleaseForm(initial=seen),
        "leave_form": LeaveForm(initial=seen),
    }
    return sheet(
        request,
        order,
        "jobs/proving.html",
        current="proving",
        proof=proving_sheet(order),
        marks=marks_of(order),
        before_driving=BEFORE_DRIVING,
        proves_now=Stage(order.stage) in PROVES and request.actor.may(Permit.PROVE),
        **(blank | forms),
    )


@require_POST
@permit(Permit.PROVE)
def road_test(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = RoadTestForm(request.POST, workshop=request.actor.workshop)
    if form.is_valid():
        data = dict(form.cleaned_data)
        seen = OdometerInput(
            data.pop("odometer"), data["distance_unit"], data.pop("odometer_reason")
        )
        data["odometer_after"] = seen if seen.value else None
        if attempt(request, lambda: driving.record_road_test(request.actor, order, **data), form):
            url = order_url(order, "proving")
            return settled(request, url, lambda: page(request, number))
    return page(request, number, road_form=form)


@require_POST
@permit(Permit.RELEASE)
def release(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = ReleaseForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: leaving.release(request.actor, order, **data), form):
            messages.success(request, _("%s is released.") % order.number)
            return settled(request, order_url(order, "proving"), lambda: page(request, number))
    return page(request, number, release_form=renewed(form, order))


@require_POST
@permit(Permit.RELEASE)
def leave_unrepaired(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = LeaveForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: leaving.leave_unrepaired(request.actor, order, **data), form):
            messages.success(request, _("%s is closed; it left unrepaired.") % order.number)
            return settled(request, order_url(order, "proving"), lambda: page(request, number))
    return page(request, number, leave_form=renewed(form, order))
