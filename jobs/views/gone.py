"""Saying that a vehicle is gone, and taking it back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.forms.gone import GoneForm, NotGoneForm
from jobs.queries.units import last_contact
from jobs.services import gone as services
from shop.models import Vehicle
from shop.queries.vehicles import vehicles_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_VEHICLE)
def gone(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form = GoneForm(request.POST or None, vehicle=vehicle)
    if form.is_valid():
        said = dict(form.cleaned_data)
        if attempt(request, lambda: services.say(request.actor, vehicle, **said), form):
            messages.success(request, _("Kept."))
            return go(request, _url(request, vehicle))
    return _page(request, vehicle, form)


@require_POST
@permit(Permit.EDIT_VEHICLE)
def not_gone(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form = NotGoneForm(request.POST)
    if form.is_valid():
        said = dict(form.cleaned_data)
        if attempt(request, lambda: services.undo(request.actor, vehicle, **said)):
            messages.success(request, _("It is not down as gone any more."))
    return go(request, _url(request, vehicle))


def _page(request: Request, vehicle: Vehicle, form: GoneForm) -> HttpResponse:
    context = {
        "form": form,
        "stands": after_clash(form, vehicle),
        "vehicle": vehicle,
        "last": last_contact(vehicle),
        "back_form": NotGoneForm(initial={"revision": vehicle.revision}) if vehicle.gone else None,
    }
    return show(request, "jobs/vehicle_gone.html", context, partial="sheet")


def _url(request: Request, vehicle: Vehicle) -> str:
    return reverse("vehicle", args=[request.actor.workshop.slug, vehicle.pk])
