"""The workshop's settings and bays."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.forms.workshop import BayForm, BayUseForm, WorkshopForm
from shop.queries.people import bays_of
from shop.roles import Permit
from shop.services import workshop as service
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_WORKSHOP)
def settings(request: Request) -> HttpResponseBase:
    form = WorkshopForm(request.POST or None, workshop=request.actor.workshop)
    if form.is_valid():
        act, chosen = form.act_id, form.settings()
        if attempt(
            request,
            lambda: service.change_settings(request.actor, act=act, settings=chosen),
            form,
        ):
            messages.success(request, _("Kept."))
            return go(request, reverse("workshop", args=[request.actor.workshop.slug]))
    return _sheet(request, form, BayForm())


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def bay_new(request: Request) -> HttpResponseBase:
    form = BayForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: service.add_bay(request.actor, **data), form):
            return go(request, reverse("workshop", args=[request.actor.workshop.slug]))
    return _sheet(request, WorkshopForm(workshop=request.actor.workshop), form)


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def bay_use(request: Request, pk: int) -> HttpResponseBase:
    bay = get_object_or_404(bays_of(request.actor), pk=pk)
    form = BayUseForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: service.use_bay(request.actor, bay, **data))
    return go(request, reverse("workshop", args=[request.actor.workshop.slug]))


def _sheet(request: Request, form: WorkshopForm, bay_form: BayForm) -> HttpResponseBase:
    context = {"form": form, "bay_form": bay_form, "bays": bays_of(request.actor)}
    return show(request, "shop/workshop.html", context)
