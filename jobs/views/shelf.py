"""The shelf: its list, one part with its movements, counting, changing, putting on record."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.shelf import CountForm, ItemForm, NewItemForm
from jobs.models import StockItem
from jobs.queries import shelf as queries
from jobs.services import shelf
from jobs.views.sheet import settled
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_COUNTER)
def stock(request: Request) -> HttpResponseBase:
    text = " ".join(request.GET.get("q", "").split())
    low = request.GET.get("show") == queries.LOW
    page = page_of(request, queries.items(request.actor, text, low=low))
    context = {
        "page": page,
        "rows": [{"item": item, "value": queries.value_of(item)} for item in page],
        "q": text,
        "low": low,
        "counts": queries.counts(request.actor),
        "value": queries.value_on_shelf(request.actor),
    }
    return show(request, "jobs/stock.html", context, partial="list")


@require_GET
@permit(Permit.SEE_COUNTER)
def item(request: Request, pk: int) -> HttpResponseBase:
    return item_page(request, pk)


def item_page(request: Request, pk: int, opened: str = "", **bound: forms.Form) -> HttpResponse:
    """One part as it stands now; `bound` are forms to show again."""
    row = queries.get_item(request.actor, pk)
    context: dict[str, Any] = {
        "item": row,
        "value": queries.value_of(row),
        "lies_for": queries.lies_for(row),
        "page": page_of(request, queries.movements_of(row)),
        "opened": opened,
    }
    if request.actor.may(Permit.MANAGE_STOCK):
        seen = {"revision": row.revision, "seen": row.on_hand}
        context["count_form"] = CountForm(initial=seen)
        context["item_form"] = ItemForm(actor=request.actor, item=row)
    return show(request, "jobs/stock_item.html", context | bound, partial="sheet")


@require_POST
@permit(Permit.MANAGE_STOCK)
def count(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_item(request.actor, pk)
    form = CountForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: shelf.count(request.actor, item=row, **data), form):
            return _settled(request, row)
    row.refresh_from_db()
    # A piece that came or went meanwhile is on the page now; what was typed is kept beside it.
    form.data = {**request.POST.dict(), "revision": row.revision, "seen": row.on_hand}
    return item_page(request, pk, "count", count_form=form)


@require_POST
@permit(Permit.MANAGE_STOCK)
def change(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_item(request.actor, pk)
    form = ItemForm(request.POST, actor=request.actor, item=row)
    if form.is_valid():
        data = {
            "act": form.act_id,
            "revision": form.cleaned_data["revision"],
            "particulars": form.particulars(),
        }
        if attempt(request, lambda: shelf.change(request.actor, item=row, **data), form):
            return _settled(request, row)
    after_clash(form, row)
    return item_page(request, pk, "change", item_form=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_STOCK)
def new(request: Request) -> HttpResponseBase:
    number = request.GET.get("number", "")[:40]
    form = NewItemForm(request.POST or None, actor=request.actor, initial={"part_number": number})
    if form.is_valid():
        data: dict[str, Any] = {
            "act": form.act_id,
            "part_number": form.cleaned_data["part_number"],
            "counted": form.cleaned_data["counted"],
            "particulars": form.particulars(),
        }
        if attempt(request, lambda: shelf.add(request.actor, **data), form):
            messages.success(request, _("On record."))
            found = queries.items(request.actor, data["part_number"]).first()
            return go(request, _url(found) if found else _list(request))
    return show(request, "jobs/stock_new.html", {"form": form}, partial="sheet")


def _settled(request: Request, row: StockItem) -> HttpResponse:
    return settled(request, _url(row), lambda: item_page(request, row.pk))


def _url(row: StockItem) -> str:
    return reverse("stock-item", args=[row.workshop.slug, row.pk])


def _list(request: Request) -> str:
    return reverse("stock", args=[request.actor.workshop.slug])
