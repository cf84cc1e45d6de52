"""The estimate's sheet: what it costs, whom it was given to, and what was answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import Http404, HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.authority import AuthorityForm
from jobs.forms.estimate import AssemblyForm, GiveForm, LabourForm
from jobs.models import Complaint, LabourLine, RepairOrder, Replacement
from jobs.queries import estimate as queries
from jobs.queries.orders import get_complaint, get_order
from jobs.services import authority as answering
from jobs.services import estimate as estimating
from jobs.stages import Stage
from jobs.views.sheet import order_url, renewed, settled, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt


@require_GET
@permit(Permit.SEE_WORKSHOP)
def estimate(request: Request, number: str) -> HttpResponseBase:
    return page(request, number)


def page(
    request: Request, number: str, opened: str = "", **bound: forms.Form | None
) -> HttpResponse:
    """The sheet as it stands now; `bound` are forms to show again, `opened` the one in use."""
    order = get_order(request.actor, number)
    estimated = queries.sheet(order)
    stage = Stage(order.stage)
    currency = request.actor.workshop.currency
    changeable = stage in estimating.MAY_CHANGE and request.actor.may(Permit.ESTIMATE)
    answerable = stage is Stage.AWAITING_AUTHORITY and estimated.standing
    shown: dict[str, Any] = {"assembly_form": None, "labour_form": None, "give_form": None}
    if changeable:
        complaints = [one.complaint for one in estimated.complaints]
        shown = {
            "assembly_form": assembly_form(request, order, complaints),
            "labour_form": labour_form(request, order, complaints),
            "give_form": GiveForm(order=order),
        }
    if answerable and request.actor.may(Permit.RECORD_AUTHORITY):
        shown["authority_form"] = AuthorityForm(order=order, sheet=estimated, currency=currency)
    return sheet(
        request,
        order,
        "jobs/estimate.html",
        current="estimate",
        estimate=estimated,
        changeable=changeable,
        opened=opened,
        **(shown | bound),
    )


def assembly_form(
    request: Request, order: RepairOrder, complaints: list[Complaint], data: Any = None
) -> AssemblyForm:
    return AssemblyForm(
        data,
        complaints=complaints,
        choices=queries.assembly_choices(order),
        currency=request.actor.workshop.currency,
    )


def labour_form(
    request: Request, order: RepairOrder, complaints: list[Complaint], data: Any = None
) -> LabourForm:
    return LabourForm(data, complaints=complaints, operations=queries.labour_choices(order))


@require_POST
@permit(Permit.ESTIMATE)
def propose(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    return _plain(
        request,
        number,
        lambda act: estimating.accept_proposal(request.actor, act=act, complaint=complaint),
    )


@require_POST
@permit(Permit.ESTIMATE)
def add_assembly(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    complaints = queries.complaints_of(order)
    form = assembly_form(request, order, complaints, request.POST)
    if form.is_valid():
        data = form.cleaned_data

        def add() -> None:
            estimating.add_assembly(
                request.actor,
                act=form.act_id,
                complaint=_one(complaints, data["complaint"]),
                component=form.component,
                position=form.position,
                part_number=data["part_number"],
                supplier=data["supplier"],
                price=data["price"],
            )

        if attempt(request, add, form):
            return _done(request, number)
    return page(request, number, opened="assembly", assembly_form=form)


@require_POST
@permit(Permit.ESTIMATE)
def add_labour(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    complaints = queries.complaints_of(order)
    form = labour_form(request, order, complaints, request.POST)
    if form.is_valid():
        data = form.cleaned_data

        def add() -> None:
            estimating.add_labour(
                request.actor,
                act=form.act_id,
                complaint=_one(complaints, data["complaint"]),
                operation=form.chosen,
                text=data["text"],
                tenths=data["hours"],
            )

        if attempt(request, add, form):
            return _done(request, number)
    return page(request, number, opened="labour", labour_form=form)


@require_POST
@permit(Permit.ESTIMATE)
def remove_assembly(request: Request, number: str, pk: int) -> HttpResponseBase:
    order = get_order(request.actor, number)
    row = Replacement.objects.filter(complaint__order=order, pk=pk).select_related(
        "component", "complaint"
    )
    if (replacement := row.first()) is None:
        raise Http404
    return _plain(
        request,
        number,
        lambda act: estimating.remove_assembly(request.actor, act=act, replacement=replacement),
    )


@require_POST
@permit(Permit.ESTIMATE)
def remove_labour(request: Request, number: str, pk: int) -> HttpResponseBase:
    order = get_order(request.actor, number)
    rows = LabourLine.objects.filter(complaint__order=order, pk=pk).select_related("complaint")
    if (row := rows.first()) is None:
        raise Http404
    return _plain(
        request, number, lambda act: estimating.remove_labour(request.actor, act=act, line=row)
    )


@require_POST
@permit(Permit.ESTIMATE)
def give(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = GiveForm(request.POST, order=order)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: estimating.give(request.actor, order=order, **data), form):
            return _done(request, number)
    return page(request, number, opened="give", give_form=form)


@require_POST
@permit(Permit.RECORD_AUTHORITY)
def authority(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = AuthorityForm(
        request.POST,
        order=order,
        sheet=queries.sheet(order),
        currency=request.actor.workshop.currency,
    )
    if form.is_valid():
        kept = ("act", "revision", "who", "how", "contact", "answered_at", "note")
        data = {name: form.cleaned_data[name] for name in kept}
        if attempt(
            request,
            lambda: answering.record(request.actor, order=order, decisions=form.decisions, **data),
            form,
        ):
            return _done(request, number)
    return page(request, number, opened="authority", authority_form=renewed(form, order))


def _plain(request: Request, number: str, do: Callable[[Any], object]) -> HttpResponseBase:
    """An act with nothing to fill in; a refusal is said at the top of the page."""
    form = ActForm(request.POST)
    if form.is_valid():
        attempt(request, lambda: do(form.act_id))
    return _done(request, number)


def _done(request: Request, number: str) -> HttpResponse:
    order = get_order(request.actor, number)
    return settled(request, order_url(order, "estimate"), lambda: page(request, number))


def _one(complaints: list[Complaint], pk: int) -> Complaint:
    return next(complaint for complaint in complaints if complaint.pk == pk)
