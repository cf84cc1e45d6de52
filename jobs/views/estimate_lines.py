"""What is put on an estimate and taken off again, and who pays for a complaint."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_POST

from jobs.forms.estimate_lines import ShareForm
from jobs.models import Complaint, LabourLine, OtherLine, Replacement
from jobs.queries import estimate as queries
from jobs.queries.orders import get_complaint, get_order
from jobs.services import estimate as estimating
from jobs.views.estimate import assembly_form, done, labour_form, other_form, page
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt

Row = TypeVar("Row", bound=Model)


@require_POST
@permit(Permit.ESTIMATE)
def propose(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    return plain(
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
                complaint=one_of(complaints, data["complaint"]),
                component=form.component,
                position=form.position,
                part_number=data["part_number"],
                supplier=data["supplier"],
                price=data["price"],
                condition=data["condition"],
            )

        if attempt(request, add, form):
            return done(request, number)
    return page(request, number, opened="assembly", assembly_form=form)


@require_POST
@permit(Permit.ESTIMATE)
def add_labour(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    complaints = queries.complaints_of(order)
    form = labour_form(order, complaints, request.POST)
    if form.is_valid():
        data = form.cleaned_data

        def add() -> None:
            estimating.add_labour(
                request.actor,
                act=form.act_id,
                complaint=one_of(complaints, data["complaint"]),
                operation=form.chosen,
                text=data["text"],
                tenths=data["hours"],
                kind=data["kind"],
                position=data["position"],
                reason=data["reason"],
            )

        if attempt(request, add, form):
            return done(request, number)
    return page(request, number, opened="labour", labour_form=form)


@require_POST
@permit(Permit.ESTIMATE)
def add_other(request: Request, number: str) -> HttpResponseBase:
    complaints = queries.complaints_of(get_order(request.actor, number))
    form = other_form(request, complaints, request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        complaint = one_of(complaints, data.pop("complaint"))
        if attempt(
            request,
            lambda: estimating.add_other(request.actor, complaint=complaint, **data),
            form,
        ):
            return done(request, number)
    return page(request, number, opened="other", other_form=form)


@require_POST
@permit(Permit.RECORD_AUTHORITY)
def share(request: Request, number: str) -> HttpResponseBase:
    complaints = queries.complaints_of(get_order(request.actor, number))
    form = ShareForm(request.POST, complaints=complaints)
    if form.is_valid():
        data = dict(form.cleaned_data)
        complaint = one_of(complaints, data.pop("complaint"))
        if attempt(
            request, lambda: estimating.share(request.actor, complaint=complaint, **data), form
        ):
            return done(request, number)
    return page(request, number, opened="share", share_form=form)


@require_POST
@permit(Permit.ESTIMATE)
def remove_assembly(request: Request, number: str, pk: int) -> HttpResponseBase:
    rows = Replacement.objects.select_related("component", "complaint")
    row = _row_of(request, number, rows, pk)
    return plain(
        request,
        number,
        lambda act: estimating.remove_assembly(request.actor, act=act, replacement=row),
    )


@require_POST
@permit(Permit.ESTIMATE)
def remove_labour(request: Request, number: str, pk: int) -> HttpResponseBase:
    row = _row_of(request, number, LabourLine.objects.select_related("complaint"), pk)
    return plain(
        request, number, lambda act: estimating.remove_labour(request.actor, act=act, line=row)
    )


@require_POST
@permit(Permit.ESTIMATE)
def remove_other(request: Request, number: str, pk: int) -> HttpResponseBase:
    row = _row_of(request, number, OtherLine.objects.select_related("complaint"), pk)
    return plain(
        request, number, lambda act: estimating.remove_other(request.actor, act=act, line=row)
    )


def _row_of(request: Request, number: str, rows: QuerySet[Row], pk: int) -> Row:
    order = get_order(request.actor, number)
    row = rows.filter(complaint__order=order, pk=pk).first()
    if row is None:
        raise Http404
    return row


def plain(request: Request, number: str, do: Callable[[Any], object]) -> HttpResponseBase:
    """An act with nothing to fill in; a refusal is said at the top of the page."""
    form = ActForm(request.POST)
    if form.is_valid():
        attempt(request, lambda: do(form.act_id))
    return done(request, number)


def one_of(complaints: list[Complaint], pk: int) -> Complaint:
    return next(complaint for complaint in complaints if complaint.pk == pk)
