"""One assembly of a job, with everything that may go wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import Http404, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.parts import CancelForm, LateForm, WrongForm
from jobs.models import Replacement
from jobs.queries import job_parts as queries
from jobs.services import parts
from jobs.stages import Stage
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show

State = Replacement.State


@require_GET
@permit(Permit.SEE_COUNTER)
def part(request: Request, pk: int) -> HttpResponseBase:
    return part_page(request, pk)


def part_page(request: Request, pk: int, opened: str = "", **bound: forms.Form) -> HttpResponse:
    """The page; `bound` are forms to show again as they were sent."""
    row = _part(request, pk)
    shown: dict[str, Any] = {"late_form": None, "wrong_form": None, "cancel_form": None}
    if request.actor.may(Permit.ORDER_PARTS):
        if row.state == State.ORDERED:
            shown["late_form"] = LateForm()
        if row.state in {State.ORDERED, State.RECEIVED}:
            shown["wrong_form"] = WrongForm(ordered=row.supply_line_id is not None)
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
    ordered = _part(request, pk).supply_line_id is not None
    return _act(request, pk, "wrong", WrongForm(request.POST, ordered=ordered), parts.wrong)


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
