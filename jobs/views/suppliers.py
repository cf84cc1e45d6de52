"""Suppliers: the list, a new one, the page of one."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from jobs.forms.suppliers import SupplierForm
from jobs.models import Supplier
from jobs.queries import suppliers as queries
from jobs.services import suppliers
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_COUNTER)
def listing(request: Request) -> HttpResponseBase:
    page = page_of(request, queries.suppliers(request.actor))
    times = queries.times_of(request.actor, [row.pk for row in page])
    rows = [{"supplier": row, "times": times[row.pk]} for row in page]
    return show(request, "jobs/suppliers.html", {"page": page, "rows": rows}, partial="list")


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_STOCK)
def new(request: Request) -> HttpResponseBase:
    form = SupplierForm(request.POST or None)
    if form.is_valid():
        data = dict(form.cleaned_data)
        data.pop("revision")
        if attempt(request, lambda: suppliers.add(request.actor, **data), form):
            messages.success(request, _("Added."))
            return go(request, reverse("suppliers", args=[request.actor.workshop.slug]))
    return show(request, "jobs/supplier_new.html", {"form": form})


@require_http_methods(["GET", "POST"])
@permit(Permit.SEE_COUNTER)
def supplier(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_supplier(request.actor, pk)
    form = None
    if request.actor.may(Permit.MANAGE_STOCK):
        form = SupplierForm(request.POST or None, initial=_kept(row))
        if form.is_valid():
            data = dict(form.cleaned_data)
            if attempt(request, lambda: suppliers.edit(request.actor, supplier=row, **data), form):
                messages.success(request, _("Kept."))
                return go(request, request.path)
            after_clash(form, row)
    page = page_of(request, queries.open_lines(request.actor, row))
    number, credit = queries.owed(request.actor, row)
    context = {
        "supplier": row,
        "form": form,
        "page": page,
        "times": queries.times_of(request.actor, [pk])[pk],
        "returns": number,
        "credit": credit,
        "today": clock.today(),
        "orders": queries.orders_of(request.actor, row)[:10],
    }
    return show(request, "jobs/supplier.html", context, partial="list")


def _kept(row: Supplier) -> dict[str, object]:
    names = ("name", "account", "phone", "email", "address", "revision")
    return {name: getattr(row, name) for name in names}
