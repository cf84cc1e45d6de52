"""An order that does not come as it was placed: later, less, not at all."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.forms.receiving import CutForm, PutOffForm, VoidForm
from jobs.models import SupplyLine
from jobs.queries.supply import get_supply
from jobs.services import supply_changes
from jobs.views.sheet import settled
from jobs.views.supply import sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt

_CHANGES: dict[str, Callable[..., None]] = {
    "later": supply_changes.put_off,
    "cut": supply_changes.cancel_line,
}


@require_POST
@permit(Permit.ORDER_PARTS)
def later(request: Request, number: str, pk: int) -> HttpResponseBase:
    form = PutOffForm(request.POST, auto_id=f"later-{pk}-%s")
    return _change(request, number, pk, "later", form)


@require_POST
@permit(Permit.ORDER_PARTS)
def cut(request: Request, number: str, pk: int) -> HttpResponseBase:
    form = CutForm(request.POST, auto_id=f"cut-{pk}-%s")
    return _change(request, number, pk, "cut", form)


@require_POST
@permit(Permit.ORDER_PARTS)
def void(request: Request, number: str) -> HttpResponseBase:
    order = get_supply(request.actor, number)
    form = VoidForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: supply_changes.void(request.actor, order=order, **data), form):
            return settled(request, _address(request, number), lambda: sheet(request, number))
    return sheet(request, number, "void", which="void", form=form)


def _change(
    request: Request, number: str, pk: int, name: str, form: forms.Form
) -> HttpResponseBase:
    order = get_supply(request.actor, number)
    line = get_object_or_404(SupplyLine.objects.of(request.actor), order=order, pk=pk)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: _CHANGES[name](request.actor, line=line, **data), form):
            return settled(request, _address(request, number), lambda: sheet(request, number))
        after_clash(form, line)
    key = f"{name}-{pk}"
    return sheet(request, number, key, which=key, form=form)


def _address(request: Request, number: str) -> str:
    return reverse("supply-order", args=[request.actor.workshop.slug, number])
