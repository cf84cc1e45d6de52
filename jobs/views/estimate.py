"""The estimate's sheet: what it costs, whom it was given to, and what was answered."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.authority import AuthorityForm, DiagnosisForm
from jobs.forms.estimate import AssemblyForm, GiveForm
from jobs.forms.estimate_lines import LabourForm, OtherForm, ShareForm
from jobs.models import Complaint, RepairOrder
from jobs.queries import estimate as queries
from jobs.queries.coverage_page import cover_lines
from jobs.queries.orders import get_order
from jobs.services import authority as answering
from jobs.services import estimate as estimating
from jobs.services.diagnosis_authority import BEFORE_WORK
from jobs.services.estimate_change import FREELY
from jobs.stages import Stage
from jobs.views.sheet import order_url, renewed, settled, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
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
    return sheet(
        request,
        order,
        "jobs/estimate.html",
        current="estimate",
        estimate=estimated,
        covers=cover_lines([one.complaint for one in estimated.complaints]),
        changeable=stage in estimating.MAY_CHANGE and request.actor.may(Permit.ESTIMATE),
        opened=opened,
        **(_forms(request, order, estimated) | bound),
    )


def _forms(
    request: Request, order: RepairOrder, estimated: queries.EstimateSheet
) -> dict[str, Any]:
    """Those that this person may use now; the others are None."""
    stage, may = Stage(order.stage), request.actor.may
    complaints = [one.complaint for one in estimated.complaints]
    shown: dict[str, Any] = dict.fromkeys(
        ("assembly_form", "labour_form", "other_form", "share_form", "give_form"), None
    )
    if stage in estimating.MAY_CHANGE and may(Permit.ESTIMATE):
        shown["assembly_form"] = assembly_form(request, order, complaints)
        shown["labour_form"] = labour_form(order, complaints)
        shown["other_form"] = other_form(request, complaints)
    if stage in FREELY and may(Permit.ESTIMATE):
        shown["give_form"] = GiveForm(order=order)
    if may(Permit.RECORD_AUTHORITY):
        if stage in FREELY:
            shown["share_form"] = ShareForm(complaints=complaints)
        if stage in BEFORE_WORK and complaints:
            shown["diagnosis_form"] = diagnosis_form(order, complaints)
        shown["nothing_more"] = queries.may_go_back(order, estimated)
        if stage is Stage.AWAITING_AUTHORITY and estimated.standing:
            shown["authority_form"] = authority_form(request, order, estimated)
    return shown


def assembly_form(
    request: Request, order: RepairOrder, complaints: list[Complaint], data: Any = None
) -> AssemblyForm:
    return AssemblyForm(
        data,
        complaints=complaints,
        choices=queries.assembly_choices(order),
        currency=request.actor.workshop.currency,
    )


def labour_form(order: RepairOrder, complaints: list[Complaint], data: Any = None) -> LabourForm:
    return LabourForm(data, complaints=complaints, operations=queries.labour_choices(order))


def other_form(request: Request, complaints: list[Complaint], data: Any = None) -> OtherForm:
    return OtherForm(data, complaints=complaints, currency=request.actor.workshop.currency)


def diagnosis_form(
    order: RepairOrder, complaints: list[Complaint], data: Any = None
) -> DiagnosisForm:
    operations = queries.labour_choices(order)
    return DiagnosisForm(data, order=order, complaints=complaints, operations=operations)


def authority_form(
    request: Request, order: RepairOrder, estimated: queries.EstimateSheet, data: Any = None
) -> AuthorityForm:
    currency = request.actor.workshop.currency
    return AuthorityForm(data, order=order, sheet=estimated, currency=currency)


@require_POST
@permit(Permit.ESTIMATE)
def give(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = GiveForm(request.POST, order=order)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: estimating.give(request.actor, order=order, **data), form):
            return done(request, number)
    return page(request, number, opened="give", give_form=form)


@require_POST
@permit(Permit.RECORD_AUTHORITY)
def authority(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = authority_form(request, order, queries.sheet(order), request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: answering.record(
            request.actor, order=order, decisions=form.decisions, **form.answer_data
        ),
        form,
    ):
        return done(request, number)
    return page(request, number, opened="authority", authority_form=renewed(form, order))


def done(request: Request, number: str) -> HttpResponse:
    order = get_order(request.actor, number)
    return settled(request, order_url(order, "estimate"), lambda: page(request, number))
