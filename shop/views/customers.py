"""A customer's details and vehicles."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shop.forms.vehicles import CustomerForm
from shop.queries.vehicles import customers_of, vehicles_of
from shop.roles import Permit
from shop.services import customers
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_http_methods(["GET", "POST"])
@permit(Permit.EDIT_CUSTOMER)
def edit(request: Request, pk: int) -> HttpResponseBase:
    customer = get_object_or_404(customers_of(request.actor), pk=pk)
    form = CustomerForm(request.POST or None, customer=customer)
    if form.is_valid():
        data = {
            "act": form.act_id,
            "revision": form.cleaned_data["revision"],
            "details": form.details(),
        }
        if attempt(
            request, lambda: customers.change_customer(request.actor, customer, **data), form
        ):
            messages.success(request, _("Kept."))
            return go(request, reverse("customer-edit", args=[request.actor.workshop.slug, pk]))
    stands = after_clash(form, customer)
    page = page_of(request, vehicles_of(request.actor).filter(customer=customer))
    context = {"form": form, "customer": customer, "stands": stands, "page": page}
    return show(request, "shop/customer.html", context, partial="sheet")
