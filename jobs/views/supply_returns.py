"""Going back: what is to be sent to a supplier, and the credit that is awaited for it."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.suppliers import CreditForm, ReturnForm, SentForm
from jobs.models import SupplyReturn
from jobs.queries import supply as queries
from jobs.services import supply_returns
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_COUNTER)
def listing(request: Request) -> HttpResponseBase:
    return page(request)


def page(request: Request, pk: int = 0, form: forms.Form | None = None) -> HttpResponse:
    """The open ones, or those that are closed; `form` belongs to the return `pk`."""
    shown = "closed" if request.GET.get("show") == "closed" else "open"
    found = page_of(request, queries.returns(request.actor, closed=shown == "closed"))
    may = request.actor.may(Permit.ORDER_PARTS) and shown == "open"
    rows = [
        {"back": row, "form": (form if row.pk == pk else _form(row)) if may else None}
        for row in found
    ]
    unsent, sent = queries.returns_open(request.actor)
    context = {"page": found, "rows": rows, "shown": shown, "unsent": unsent, "sent": sent}
    return show(request, "jobs/supply_returns.html", context | {"opened": pk}, partial="sheet")


def _form(row: SupplyReturn) -> forms.Form:
    if row.sent_at:
        initial = {"amount": f"{row.credit_expected:.2f}"}
        return CreditForm(initial=initial, auto_id=f"back-{row.pk}-%s")
    return SentForm(auto_id=f"back-{row.pk}-%s")


@require_http_methods(["GET", "POST"])
@permit(Permit.ORDER_PARTS)
def new(request: Request) -> HttpResponseBase:
    initial = {"part_number": request.GET.get("part", "")}
    form = ReturnForm(request.POST or None, actor=request.actor, initial=initial)
    if form.is_valid():
        data = dict(form.cleaned_data)
        data["item"] = data.pop("part_number")
        if attempt(request, lambda: supply_returns.open_from_shelf(request.actor, **data), form):
            messages.success(request, _("Set aside to go back."))
            return go(request, reverse("supply-returns", args=[request.actor.workshop.slug]))
    return show(request, "jobs/supply_return_new.html", {"form": form})


@require_POST
@permit(Permit.ORDER_PARTS)
def sent(request: Request, pk: int) -> HttpResponseBase:
    form = SentForm(request.POST, auto_id=f"back-{pk}-%s")
    return _act(request, pk, form, supply_returns.sent)


@require_POST
@permit(Permit.ORDER_PARTS)
def credited(request: Request, pk: int) -> HttpResponseBase:
    form = CreditForm(request.POST, auto_id=f"back-{pk}-%s")
    return _act(request, pk, form, supply_returns.credited)


def _act(request: Request, pk: int, form: forms.Form, do: Callable[..., None]) -> HttpResponseBase:
    row = get_object_or_404(SupplyReturn.objects.of(request.actor), pk=pk)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: do(request.actor, back=row, **data), form):
            url = reverse("supply-returns", args=[request.actor.workshop.slug])
            return settled(request, url, lambda: page(request))
    return page(request, pk, form)
