"""Prices: labour rates, markup on parts, and taxes."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.prices import MarkupForm, RatesForm, RetireForm, TaxForm, TaxRoundingForm
from jobs.models import Tax
from jobs.queries.prices_page import prices as picture_of
from jobs.queries.terms import terms_of
from jobs.services import prices as service
from jobs.services import taxes
from jobs.services.terms import change_terms
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import MoveForm
from shop.web.htmx import attempt, go, show


@require_GET
@permit(Permit.MANAGE_WORKSHOP)
def prices(request: Request) -> HttpResponseBase:
    return _sheet(request)


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def rates(request: Request) -> HttpResponseBase:
    form = RatesForm(request.POST, usual=request.actor.workshop.labour_rate)
    if form.is_valid():
        asked = {"rates": form.rates(), "nothing_is_meant": form.cleaned_data["nothing_is_meant"]}
        if attempt(request, lambda: service.set_rates(request.actor, **_seen(form), **asked), form):
            return _kept(request)
    return _sheet(request, rates=form)


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def markup(request: Request) -> HttpResponseBase:
    form = MarkupForm(request.POST)
    if form.is_valid():
        bands = form.bands
        if attempt(
            request, lambda: service.set_markup(request.actor, bands=bands, **_seen(form)), form
        ):
            return _kept(request)
    return _sheet(request, markup=form)


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def tax_rounding(request: Request) -> HttpResponseBase:
    form = TaxRoundingForm(request.POST)
    if form.is_valid():
        changes = {"tax_rounding": form.cleaned_data["tax_rounding"]}
        if attempt(
            request, lambda: change_terms(request.actor, changes=changes, **_seen(form)), form
        ):
            return _kept(request)
    return _sheet(request, rounding=form)


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def tax_new(request: Request) -> HttpResponseBase:
    form = TaxForm(request.POST)
    if form.is_valid():
        tax = form.tax()
        if attempt(request, lambda: taxes.add_tax(request.actor, tax=tax, **_seen(form)), form):
            return _kept(request)
    return _sheet(request, tax=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_WORKSHOP)
def tax(request: Request, pk: int) -> HttpResponseBase:
    row = get_object_or_404(Tax.objects.of(request.actor), pk=pk, retired=False)
    revision = terms_of(request.actor.workshop).revision
    form = TaxForm(request.POST) if request.method == "POST" else TaxForm.of(row, revision)
    if form.is_valid():
        wanted = form.tax()
        if attempt(
            request,
            lambda: taxes.change_tax(request.actor, row, tax=wanted, **_seen(form)),
            form,
        ):
            return _kept(request)
    retire = RetireForm(initial={"revision": revision})
    return show(request, "jobs/tax.html", {"form": form, "tax": row, "retire_form": retire})


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def tax_retire(request: Request, pk: int) -> HttpResponseBase:
    row = get_object_or_404(Tax.objects.of(request.actor), pk=pk)
    form = RetireForm(request.POST)
    if form.is_valid():
        attempt(request, lambda: taxes.retire_tax(request.actor, row, **_seen(form)))
    return go(request, reverse("prices", args=[request.actor.workshop.slug]))


def _seen(form: MoveForm) -> dict[str, Any]:
    return {"act": form.act_id, "revision": form.cleaned_data["revision"]}


def _kept(request: Request) -> HttpResponseBase:
    messages.success(request, _("Kept."))
    return go(request, reverse("prices", args=[request.actor.workshop.slug]))


def _sheet(request: Request, **sent: forms.Form) -> HttpResponseBase:
    """The page, with the one form that came back in place of its fresh self."""
    picture = picture_of(request.actor)
    seen = {"revision": picture.terms.revision}
    fresh: dict[str, forms.Form] = {
        "rates": RatesForm(initial=seen | dict(picture.rates), usual=picture.labour_rate),
        "markup": MarkupForm(initial=seen | MarkupForm.initial_of(picture.bands)),
        "rounding": TaxRoundingForm(initial=seen | {"tax_rounding": picture.terms.tax_rounding}),
        "tax": TaxForm(initial=seen | {"on_assemblies": True}),
    }
    return show(request, "jobs/prices.html", {"prices": picture, "forms": fresh | sent})
