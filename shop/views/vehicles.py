"""The vehicles of the workshop: a list, adding one, changing it, its owner, its odometer."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from shop.forms.vehicles import OdometerForm, OwnerFields, OwnerForm, VehicleChangeForm, VehicleForm
from shop.models import OdometerReading, Vehicle
from shop.queries.vehicles import find_customers, find_vehicles, same_vin, vehicles_of
from shop.roles import Permit
from shop.services import odometer, vehicles
from shop.views.checks import FEW
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_WORKSHOP)
def listing(request: Request) -> HttpResponseBase:
    text = request.GET.get("q", "").strip()
    page = page_of(request, find_vehicles(request.actor, text))
    return show(request, "shop/vehicles.html", {"page": page, "q": text}, partial="list")


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_VEHICLE)
def new(request: Request) -> HttpResponseBase:
    form = VehicleForm(request.POST or None, actor=request.actor)
    made: list[Vehicle] = []
    if form.is_valid():
        data: dict[str, Any] = {
            "act": form.act_id,
            "details": form.details(),
            "customer": form.owner(),
        }
        if attempt(request, lambda: made.append(vehicles.add_vehicle(request.actor, **data)), form):
            vehicle = made[0] if made else same_vin(request.actor, data["details"].vin)
            return go(request, _page(vehicle) if vehicle else _list(request))
    return show(request, "shop/vehicle_new.html", _owners(request, form), partial="sheet")


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_VEHICLE)
def edit(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form = VehicleChangeForm(request.POST or None, vehicle=vehicle)
    if form.is_valid():
        data = {
            "act": form.act_id,
            "revision": form.cleaned_data["revision"],
            "details": form.details(),
        }
        if attempt(request, lambda: vehicles.change_vehicle(request.actor, vehicle, **data), form):
            messages.success(request, _("Kept."))
            return go(request, _page(vehicle))
    context = {"form": form, "stands": after_clash(form, vehicle), "vehicle": vehicle}
    return show(request, "shop/vehicle_edit.html", context, partial="sheet")


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_VEHICLE)
def owner(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    initial = {"revision": vehicle.revision}
    form = OwnerForm(request.POST or None, actor=request.actor, initial=initial)
    if form.is_valid():
        data = {
            "act": form.act_id,
            "revision": form.cleaned_data["revision"],
            "customer": form.owner(),
        }
        if attempt(request, lambda: vehicles.change_owner(request.actor, vehicle, **data), form):
            messages.success(request, _("Kept."))
            return go(request, _page(vehicle))
    context = _owners(request, form) | {"stands": after_clash(form, vehicle), "vehicle": vehicle}
    return show(request, "shop/vehicle_owner.html", context, partial="sheet")


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_VEHICLE)
def odometer_note(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    unit = request.actor.workshop.distance_unit
    form = OdometerForm(request.POST or None, unit=unit)
    if form.is_valid():
        seen, act = form.seen(), form.act_id
        where = OdometerReading.Seen.NOTED
        if attempt(
            request,
            lambda: odometer.note(request.actor, vehicle, seen, seen_at=where, act=act),
            form,
        ):
            messages.success(request, _("Noted."))
            return go(request, _page(vehicle))
    context = {
        "form": form,
        "vehicle": vehicle,
        "readings": vehicle.odometer_readings.select_related("by")[:FEW],
    }
    return show(request, "shop/vehicle_odometer.html", context, partial="sheet")


def _list(request: Request) -> str:
    return reverse("vehicles", args=[request.actor.workshop.slug])


def _page(vehicle: Vehicle) -> str:
    return reverse("vehicle", args=[vehicle.workshop.slug, vehicle.pk])


def _owners(request: Request, form: OwnerFields) -> dict[str, Any]:
    """The form with the known customers of a like name, of whom one may be chosen."""
    name = str(form["name"].value() or "")
    return {
        "form": form,
        "owners": find_customers(request.actor, name)[:FEW],
        "chosen": str(form["known_customer"].value() or ""),
    }
