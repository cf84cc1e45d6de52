"""Parts that came off and are kept: their lists, one tag, and every way in which it leaves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.held import (
    ChangeForm,
    CreditForm,
    GiveForm,
    HeldForm,
    ScrapForm,
    SendForm,
    TakeBackForm,
)
from jobs.holding import Why, stays_because
from jobs.models import HeldPart
from jobs.queries import held as queries
from jobs.queries.held_facts import customer_wants
from jobs.queries.terms import terms_of
from jobs.services import cores, held_leaves
from jobs.services import held as services
from jobs.signature import path_of
from jobs.views.sheet import settled
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, show
from shop.web.paging import page_of

State = HeldPart.State
FORMS: dict[str, type[HeldForm]] = {
    "change": ChangeForm,
    "send": SendForm,
    "give": GiveForm,
    "scrap": ScrapForm,
    "credit": CreditForm,
    "take-back": TakeBackForm,
}


@require_GET
@permit(Permit.SEE_COUNTER)
def held(request: Request) -> HttpResponseBase:
    asked = request.GET.get("list", "")
    which = queries.List(asked) if asked in set(queries.List) else queries.List.HELD
    page = page_of(request, queries.in_list(request.actor, which))
    counts = queries.counts(request.actor)
    context = {
        "page": page,
        "rows": queries.rows_of(request.actor, list(page)),
        "which": which,
        "lists": [{"which": one, "count": counts.get(one)} for one in queries.List],
        "credits": queries.credits_of(request.actor) if which is queries.List.CREDIT else None,
        "today": clock.today(),
    }
    return show(request, "jobs/held.html", context)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def tag(request: Request, number: str) -> HttpResponseBase:
    return tag_page(request, number)


def tag_page(
    request: Request, number: str, opened: str = "", bound: HeldForm | None = None
) -> HttpResponse:
    """One tag as it stands now; `bound` is the form of the act `opened`, to show again."""
    row = queries.get_held(request.actor, number)
    order = row.replacement.complaint.order
    shown = queries.rows_of(request.actor, [row])[0]
    context: dict[str, Any] = {
        "row": shown,
        "held": row,
        "order": order,
        "opened": opened,
        "stays": "",
        "signed": path_of(row.signature),
        "show_it": row.why in (Why.CORE, Why.PAYER)
        and customer_wants(order, terms_of(row.workshop)),
    }
    if row.state == State.HELD:
        context["stays"] = stays_because(queries.as_held(row), clock.today())
    if request.actor.may(Permit.HOLD_PARTS):
        for name in _acts(row):
            form = bound if name == opened and bound is not None else None
            form = form or FORMS[name](actor=request.actor, held=row)
            context[f"{name.replace('-', '_')}_form"] = form
    return show(request, "jobs/held_part.html", context, partial="sheet")


def _acts(row: HeldPart) -> tuple[str, ...]:
    """What may be done with a tag as it stands."""
    if row.state == State.HELD:
        return ("change", "send", "give", "scrap")
    if row.state == State.SENT and row.why == Why.CORE:
        return ("credit", "take-back") if row.credited_at is None else ("credit",)
    return ("take-back",)


@require_POST
@permit(Permit.HOLD_PARTS)
def change(request: Request, number: str) -> HttpResponseBase:
    row = queries.get_held(request.actor, number)
    form = ChangeForm(request.POST, actor=request.actor, held=row)
    if form.is_valid():
        data: dict[str, Any] = {
            "act": form.act_id,
            "revision": form.cleaned_data["revision"],
            "given": form.given(),
        }
        if attempt(request, lambda: services.change(request.actor, held=row, **data), form):
            return _settled(request, row)
    after_clash(form, row)
    return tag_page(request, number, "change", form)


@require_POST
@permit(Permit.HOLD_PARTS)
def send(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "send", held_leaves.send)


@require_POST
@permit(Permit.HOLD_PARTS)
def give(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "give", held_leaves.give)


@require_POST
@permit(Permit.HOLD_PARTS)
def scrap(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "scrap", held_leaves.scrap)


@require_POST
@permit(Permit.HOLD_PARTS)
def credit(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "credit", cores.credit)


@require_POST
@permit(Permit.HOLD_PARTS)
def take_back(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "take-back", held_leaves.take_back)


def _act(request: Request, number: str, name: str, do: Callable[..., HeldPart]) -> HttpResponseBase:
    row = queries.get_held(request.actor, number)
    form = FORMS[name](request.POST, actor=request.actor, held=row)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: do(request.actor, held=row, **data), form):
            return _settled(request, row)
    after_clash(form, row)
    if name not in _acts(row):
        # The form is gone with the state it belonged to: say it at the page's top.
        for sentence in form.non_field_errors():
            messages.error(request, str(sentence))
    return tag_page(request, number, name, form)


def _settled(request: Request, row: HeldPart) -> HttpResponse:
    url = reverse("held-part", args=[row.workshop.slug, row.number])
    return settled(request, url, lambda: tag_page(request, row.number))
