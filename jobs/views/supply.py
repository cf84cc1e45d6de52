"""Orders to suppliers: a new one, the list, one of them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.receiving import CutForm, DeliveryForm, PutOffForm, VoidForm
from jobs.forms.supply import PlaceForm
from jobs.queries import supply as queries
from jobs.queries.suppliers import usual_day
from jobs.queries.to_order import needs
from jobs.services import receiving, supply
from jobs.views.sheet import settled
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_http_methods(["GET", "POST"])
@permit(Permit.ORDER_PARTS)
def new(request: Request) -> HttpResponseBase:
    """What is to order from one supplier, as one order; `?supplier=` names him."""
    named = request.GET.get("supplier", "")
    wanted = needs(request.actor, named)
    initial = {"expected_on": usual_day(request.actor, named)}
    form = PlaceForm(request.POST or None, needs=wanted, named=named, initial=initial)
    placed: list[Any] = []
    if form.is_valid() and attempt(request, lambda: placed.append(_place(request, form)), form):
        if placed:
            number = placed[0].number
            messages.success(request, _("Ordered as %(number)s.") % {"number": number})
            return go(request, _address(request, number))
        return go(request, reverse("counter", args=[request.actor.workshop.slug]))
    context = {"form": form, "supplier": named}
    return show(request, "jobs/supply_new.html", context, partial="sheet")


def _place(request: Request, form: PlaceForm) -> Any:
    data, named = form.cleaned_data, request.GET.get("supplier", "")
    return supply.place(
        request.actor,
        act=form.act_id,
        supplier=named or data["supplier"],
        lines=form.lines(),
        expected_on=data["expected_on"],
        their_reference=data["reference"],
        note=data["note"],
        seen=data["replacements"],
        sent=(named, *form.as_sent),
    )


@require_GET
@permit(Permit.SEE_COUNTER)
def listing(request: Request) -> HttpResponseBase:
    shown = "all" if request.GET.get("show") == "all" else "open"
    rows = queries.all_orders(request.actor, open_only=shown == "open")
    context = {"page": page_of(request, rows), "shown": shown, "today": clock.today()}
    return show(request, "jobs/supply_orders.html", context, partial="list")


@require_GET
@permit(Permit.SEE_COUNTER)
def order(request: Request, number: str) -> HttpResponseBase:
    return sheet(request, number)


def sheet(
    request: Request, number: str, opened: str = "", *, which: str = "", form: Any = None
) -> HttpResponse:
    """The page of an order; `form` is the one named `which`, to show again as it was sent."""
    found = queries.sheet(request.actor, queries.get_supply(request.actor, number))
    delivery = form if which == "delivery" else DeliveryForm(lines=found.lines)
    lines = [
        {
            "line": line,
            "later_name": f"later-{line.row.pk}",
            "later": form if which == f"later-{line.row.pk}" else _later(line),
            "cut_name": f"cut-{line.row.pk}",
            "cut": form if which == f"cut-{line.row.pk}" else _cut(line),
        }
        for line in found.lines
    ]
    context = {
        "sheet": found,
        "supply": found.order,
        "lines": lines,
        "delivery": delivery,
        "void_form": form if which == "void" else VoidForm(),
        "opened": opened,
    }
    return show(request, "jobs/supply_order.html", context, partial="sheet")


def _later(line: queries.OrderLine) -> forms.Form:
    initial = {"revision": line.row.revision}
    return PutOffForm(initial=initial, auto_id=f"later-{line.row.pk}-%s")


def _cut(line: queries.OrderLine) -> forms.Form:
    initial = {"revision": line.row.revision, "quantity": line.row.awaited}
    return CutForm(initial=initial, auto_id=f"cut-{line.row.pk}-%s")


@require_POST
@permit(Permit.RECEIVE_PARTS)
def receive(request: Request, number: str) -> HttpResponseBase:
    found = queries.sheet(request.actor, queries.get_supply(request.actor, number))
    form = DeliveryForm(request.POST, lines=found.lines)
    done: list[receiving.BookedIn] = []
    if form.is_valid():
        data = form.cleaned_data

        def book_in() -> None:
            booked = receiving.receive(
                request.actor,
                act=form.act_id,
                order=found.order,
                lines=form.came(),
                delivery_note=data["delivery_note"],
                hand_over=data["hand_over"],
            )
            done.append(booked)

        if attempt(request, book_in, form):
            for booked in done:
                messages.success(request, booked_words(booked))
            return settled(request, _address(request, number), lambda: sheet(request, number))
        form.data = _seen_now(request, number, form)
        _say_without_form(request, form)
    return sheet(request, number, which="delivery", form=form)


def _say_without_form(request: Request, form: DeliveryForm) -> None:
    """Nothing is awaited any more, so that no form is shown that could say what was wrong."""
    if not form.lines:
        for sentence in form.non_field_errors():
            messages.error(request, str(sentence))


def booked_words(booked: receiving.BookedIn) -> str:
    """Where the pieces went, in a sentence."""
    said = [_("%(pieces)s for jobs") % {"pieces": len(booked.rows)}]
    said.append(_("%(pieces)s onto the shelf") % {"pieces": booked.shelved})
    words = _("Booked in: %(where)s.") % {"where": ", ".join(said)}
    if booked.handed_over:
        jobs = ", ".join(job.number for job in booked.handed_over)
        words += " " + _("Handed over: %(jobs)s.") % {"jobs": jobs}
    return words


def _seen_now(request: Request, number: str, form: DeliveryForm) -> QueryDict:
    """As typed, with the revisions the clerk sees from now on beside what stands."""
    found = queries.sheet(request.actor, queries.get_supply(request.actor, number))
    typed = QueryDict(mutable=True)
    typed.update(form.data)
    form.lines = [line for line in found.lines if line.row.awaited]
    for line in found.lines:
        typed[f"revision-{line.row.pk}"] = str(line.row.revision)
    return typed


def _address(request: Request, number: str) -> str:
    return reverse("supply-order", args=[request.actor.workshop.slug, number])
