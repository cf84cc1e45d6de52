"""The Counter: assemblies to order, on their way, and here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import Http404, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.parts import (
    CancelForm,
    HandOverForm,
    LateForm,
    OrderForm,
    ReceiveForm,
    WrongForm,
)
from jobs.models import Replacement
from jobs.queries import counter as queries
from jobs.queries.orders import get_order
from jobs.services import parts
from jobs.stages import Stage
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show

State = Replacement.State


@require_GET
@permit(Permit.SEE_COUNTER)
def counter(request: Request) -> HttpResponseBase:
    return page(request)


def page(request: Request, bound: OrderForm | None = None) -> HttpResponse:
    """All three lists, or the one asked for; `bound` is the order form to show again."""
    asked = request.GET.get("list", "")
    only = queries.List(asked) if asked in set(queries.List) else None
    found = queries.counter(request.actor, only, request.GET.get("page"))
    groups = [
        {"supplier": supplier, "form": _order_form(supplier.name, str(number), bound)}
        for number, supplier in enumerate(found.suppliers, start=1)
    ]
    context = {
        "counter": found,
        "groups": groups,
        "only": only,
        "page": found.pages[only] if only else None,
        "to_order": found.pages.get(queries.List.TO_ORDER),
        "ordered": found.pages.get(queries.List.ORDERED),
        "here": found.pages.get(queries.List.HERE),
        "count": {which.name.lower(): number for which, number in found.counts.items()},
    }
    return show(request, "jobs/counter.html", context, partial="lists")


def _order_form(named: str, key: str, bound: OrderForm | None) -> OrderForm:
    if bound is not None and bound.data.get("group", "") == named:
        bound.auto_id = f"order-{key}-%s"
        return bound
    return OrderForm(named=named, key=key)


@require_POST
@permit(Permit.ORDER_PARTS)
def order(request: Request) -> HttpResponseBase:
    form = OrderForm(request.POST, named=request.POST.get("group", ""), key="0")
    if form.is_valid():
        data = dict(form.cleaned_data)
        data.pop("group")
        if attempt(request, lambda: parts.order(request.actor, **data), form):
            return _settled(request)
    return page(request, form)


@require_POST
@permit(Permit.RECEIVE_PARTS)
def receive(request: Request) -> HttpResponseBase:
    form = ReceiveForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: parts.receive(request.actor, **data))
    return _settled(request)


@require_POST
@permit(Permit.RECEIVE_PARTS)
def hand_over(request: Request, number: str) -> HttpResponseBase:
    job = get_order(request.actor, number)
    form = HandOverForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: parts.hand_over(request.actor, order=job, **data))
    return _settled(request)


@require_GET
@permit(Permit.SEE_COUNTER)
def part(request: Request, pk: int) -> HttpResponseBase:
    return part_page(request, pk)


def part_page(request: Request, pk: int, opened: str = "", **bound: forms.Form) -> HttpResponse:
    """One assembly with everything that may go wrong with it."""
    row = _part(request, pk)
    shown: dict[str, Any] = {"late_form": None, "wrong_form": None, "cancel_form": None}
    if request.actor.may(Permit.ORDER_PARTS):
        if row.state == State.ORDERED:
            shown["late_form"] = LateForm()
        if row.state in {State.ORDERED, State.RECEIVED}:
            shown["wrong_form"] = WrongForm()
        if row.state not in {State.FITTED, State.CANCELLED}:
            shown["cancel_form"] = CancelForm()
    context = {
        "line": queries.line(row),
        "stage": Stage(row.complaint.order.stage).words,
        "opened": opened,
    }
    return show(request, "jobs/part.html", context | shown | bound, partial="sheet")


@require_POST
@permit(Permit.ORDER_PARTS)
def late(request: Request, pk: int) -> HttpResponseBase:
    return _act(request, pk, "late", LateForm(request.POST), parts.late)


@require_POST
@permit(Permit.RECEIVE_PARTS)
def wrong(request: Request, pk: int) -> HttpResponseBase:
    return _act(request, pk, "wrong", WrongForm(request.POST), parts.wrong)


@require_POST
@permit(Permit.ORDER_PARTS)
def cancel(request: Request, pk: int) -> HttpResponseBase:
    return _act(request, pk, "cancel", CancelForm(request.POST), parts.cancel)


def _act(
    request: Request, pk: int, name: str, form: forms.Form, do: Callable[..., None]
) -> HttpResponseBase:
    row = _part(request, pk)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: do(request.actor, replacement=row, **data), form):
            url = reverse("part", args=[request.actor.workshop.slug, pk])
            return settled(request, url, lambda: part_page(request, pk))
    return part_page(request, pk, opened=name, **{f"{name}_form": form})


def _part(request: Request, pk: int) -> Replacement:
    row = queries.part(request.actor, pk)
    if row is None:
        raise Http404
    return row


def _settled(request: Request) -> HttpResponse:
    url = reverse("counter", args=[request.actor.workshop.slug])
    return settled(request, url, lambda: page(request))
