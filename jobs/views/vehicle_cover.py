"""What a vehicle is promised: contracts and campaigns, kept by the manager."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.forms.vehicle_cover import (
    CampaignForm,
    ContractForm,
    EndForm,
    RemedyForm,
    UndoForm,
    kept,
)
from jobs.models import Campaign, ServiceContract
from jobs.queries.vehicle_cover import get_campaign, get_contract
from jobs.services import campaigns, contracts
from shop.models import Vehicle
from shop.queries.vehicles import vehicles_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COVERAGE)
def contract_new(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form = ContractForm(request.POST or None, vehicle=vehicle, initial={"percent": 100})
    if form.is_valid():
        given, sure, act = form.given, form.cleaned_data["sure"], form.act_id
        if attempt(
            request,
            lambda: contracts.add(request.actor, act=act, vehicle=vehicle, given=given, sure=sure),
            form,
        ):
            messages.success(request, _("The contract is kept."))
            return go(request, _url(request, vehicle))
    return show(request, "jobs/contract.html", {"form": form, "vehicle": vehicle})


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COVERAGE)
def contract(request: Request, pk: int) -> HttpResponseBase:
    row = get_contract(request.actor, pk)
    form = ContractForm(request.POST or None, vehicle=row.vehicle, initial=kept(row))
    if form.is_valid() and attempt(request, lambda: _change(request, row, form), form):
        messages.success(request, _("Kept."))
        return go(request, _url(request, row.vehicle))
    after_clash(form, row)
    return _contract_page(request, row, form=form)


def _change(request: Request, row: ServiceContract, form: ContractForm) -> None:
    revision = form.cleaned_data["revision"]
    contracts.change(
        request.actor,
        act=form.act_id,
        contract=row,
        revision=row.revision if revision is None else revision,
        given=form.given,
        sure=form.cleaned_data["sure"],
    )


@require_POST
@permit(Permit.DECIDE_COVERAGE)
def contract_end(request: Request, pk: int) -> HttpResponseBase:
    row = get_contract(request.actor, pk)
    form = EndForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: contracts.end(request.actor, contract=row, **data), form):
            return go(request, _url(request, row.vehicle))
    after_clash(form, row)
    return _contract_page(request, row, end_form=form)


def _contract_page(request: Request, row: ServiceContract, **bound: Any) -> HttpResponse:
    context = {
        "contract": row,
        "vehicle": row.vehicle,
        "form": ContractForm(vehicle=row.vehicle, initial=kept(row)),
        "end_form": EndForm(initial={"revision": row.revision}),
    }
    return show(request, "jobs/contract.html", context | bound)


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COVERAGE)
def campaign_new(request: Request, pk: int) -> HttpResponseBase:
    vehicle = get_object_or_404(vehicles_of(request.actor), pk=pk)
    form = CampaignForm(request.POST or None, vehicle=vehicle)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(
            request, lambda: campaigns.announce(request.actor, vehicle=vehicle, **data), form
        ):
            messages.success(request, _("The campaign is put down."))
            return go(request, _url(request, vehicle))
    return show(request, "jobs/campaign_new.html", {"form": form, "vehicle": vehicle})


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COVERAGE)
def campaign(request: Request, pk: int) -> HttpResponseBase:
    row = get_campaign(request.actor, pk)
    initial = {"revision": row.revision}
    done = row.remedied_on is not None
    form = (UndoForm if done else RemedyForm)(request.POST or None, initial=initial)
    if form.is_valid():
        data = dict(form.cleaned_data)
        act = campaigns.not_remedied if done else campaigns.remedied
        if attempt(request, lambda: act(request.actor, campaign=row, **data), form):
            return go(request, _url(request, row.vehicle))
    after_clash(form, row)
    return _campaign_page(request, row, form)


def _campaign_page(request: Request, row: Campaign, form: Any) -> HttpResponse:
    context = {"campaign": row, "vehicle": row.vehicle, "form": form}
    return show(request, "jobs/campaign.html", context)


def _url(request: Request, vehicle: Vehicle) -> str:
    return reverse("vehicle", args=[request.actor.workshop.slug, vehicle.pk])
