"""The job's own page, and the acts on the job as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from diagnostics.queries.picture import picture
from jobs.forms.order import (
    ELSEWHERE,
    AssignForm,
    ComplaintForm,
    LiftForm,
    StageMoveForm,
    UnsafeForm,
)
from jobs.models import RepairOrder
from jobs.queries.coverage_page import cover_lines
from jobs.queries.declined import DeclinedBefore, declined_before
from jobs.queries.facts import facts_of
from jobs.queries.held import held_of
from jobs.queries.orders import get_order, lines_of, listing, marks_of
from jobs.queries.returns_page import of_order
from jobs.queries.safety import offers_of
from jobs.services import assignment, complaints, conclusions, unsafe
from jobs.services import moves as moving
from jobs.stages import Facts, MoveRule, Stage, moves_from, unmet
from jobs.views.evidence import panels
from jobs.views.sheet import order_url, renewed, settled, sheet
from shop.actor import Actor
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_WORKSHOP)
def order(request: Request, number: str) -> HttpResponseBase:
    return page(request, number)


def page(request: Request, number: str, opened: str = "", **forms: Any) -> HttpResponse:
    """The job as it stands now; `forms` are bound ones to show again, `opened` the one in use."""
    order = get_order(request.actor, number)
    facts, lines = facts_of(order), lines_of(order)
    blank = {
        "assign_form": AssignForm(actor=request.actor, order=order),
        "unsafe_form": UnsafeForm(),
        "lift_form": LiftForm(),
        "complaint_form": ComplaintForm(),
        "move_form": None,
    }
    return sheet(
        request,
        order,
        "jobs/order.html",
        current="order",
        facts=facts,
        lines=lines,
        covers=cover_lines([line.complaint for line in lines if not line.declined]),
        panels=panels(request.actor, [line.complaint for line in lines if not line.declined]),
        marks=marks_of(order),
        safety=offers_of(order),
        returned=of_order(request.actor, order),
        held_parts=held_of(order),
        moves=offered(request.actor, order, facts),
        picture=picture(order.session),
        opened=opened,
        can_conclude=Stage(order.stage) in conclusions.WHILE,
        can_complain=Stage(order.stage) in complaints.BEFORE_REPAIR,
        declined=_declined(request.actor, order),
        **(blank | forms),
    )


def _declined(actor: Actor, order: RepairOrder) -> tuple[DeclinedBefore, ...]:
    """What was declined at earlier visits, while it can still be taken up."""
    if Stage(order.stage) not in complaints.BEFORE_REPAIR:
        return ()
    return declined_before(actor, order.vehicle, order)


@dataclass(frozen=True, slots=True)
class Offer:
    """A move of the table that this person may make from here, or what still stops it."""

    rule: MoveRule
    stopped_by: str


def offered(actor: Actor, order: RepairOrder, facts: Facts) -> tuple[Offer, ...]:
    return tuple(
        Offer(rule, next((said for need in rule.needs if (said := unmet(need, facts))), ""))
        for rule in moves_from(Stage(order.stage))
        if rule.move not in ELSEWHERE and rule.roles & actor.roles
    )


@require_POST
@permit(Permit.MOVE_STAGE)
def move(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = StageMoveForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        which = data.pop("move")
        if attempt(request, lambda: moving.move(request.actor, order, which, **data), form):
            return settled(request, order_url(order), lambda: page(request, number))
    order = get_order(request.actor, number)
    asked = str(request.POST.get("move", ""))
    if asked not in {rule.move for rule in moves_from(Stage(order.stage))}:
        # The button is gone with the stage, and its form with it: say it at the page's top.
        for sentence in form.non_field_errors():
            messages.error(request, str(sentence))
    return page(request, number, opened=asked, move_form=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.ASSIGN)
def assign(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    if request.method == "GET":
        return page(request, number, opened="assign")
    form = AssignForm(request.POST, actor=request.actor, order=order)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: assignment.assign(request.actor, order, **data), form):
            return settled(request, order_url(order), lambda: page(request, number))
    return page(request, number, opened="assign", assign_form=renewed(form, order))


@require_http_methods(["GET", "POST"])
@permit(Permit.DIAGNOSE)
def unsafe_raise(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = UnsafeForm(request.POST or None)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: unsafe.mark(request.actor, order, **data), form):
            return settled(request, order_url(order), lambda: page(request, number))
    return page(request, number, opened="unsafe", unsafe_form=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.LIFT_UNSAFE)
def unsafe_lift(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = LiftForm(request.POST or None)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: unsafe.lift(request.actor, order, **data), form):
            return settled(request, order_url(order), lambda: page(request, number))
    return page(request, number, opened="lift", lift_form=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.TAKE_IN)
def complaint_add(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = ComplaintForm(request.POST or None)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: complaints.add(request.actor, order, **data), form):
            return settled(request, order_url(order), lambda: page(request, number))
    return page(request, number, opened="complaint", complaint_form=form)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def orders(request: Request) -> HttpResponseBase:
    closed = request.GET.get("show") == "closed"
    rows = page_of(request, listing(request.actor, closed=closed))
    return show(request, "jobs/orders.html", {"page": rows, "closed": closed}, partial="list")
