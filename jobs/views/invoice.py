"""The bill of a job: as it would be issued, as it was, what was paid and credited."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.invoices import CreditForm, IssueForm
from jobs.forms.payments import PaymentForm
from jobs.models import Invoice, RepairOrder
from jobs.queries import billing
from jobs.queries import invoices as queries
from jobs.queries.orders import get_order
from jobs.services import credits, invoices, payments
from jobs.views.sheet import order_url, renewed, settled, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_BILL)
def bill(request: Request, number: str) -> HttpResponseBase:
    return page(request, get_order(request.actor, number))


@require_GET
@permit(Permit.SEE_BILL)
def invoice(request: Request, number: str) -> HttpResponseBase:
    found = queries.get_invoice(request.actor, number)
    return page(request, get_order(request.actor, found.order.number), found)


@require_GET
@permit(Permit.SEE_BILL)
def listing(request: Request) -> HttpResponseBase:
    asked = request.GET.get("q", "")
    rows = page_of(request, queries.listing(request.actor, asked))
    return show(request, "jobs/invoices.html", {"page": rows, "q": asked}, partial="list")


def page(
    request: Request, order: RepairOrder, chosen: Invoice | None = None, **forms: Any
) -> HttpResponse:
    """The invoice that was asked for, else the standing one, else the bill as it would be."""
    chosen = chosen or billing.standing_invoice(order)
    context: dict[str, Any] = {"papers": queries.invoices_of(order), "chosen": chosen}
    if chosen is None:
        ready = billing.preview(order)
        initial = {"revision": order.revision, "seen": ready.bill.total}
        context |= {
            "preview": ready,
            "blocks": billing.blocks_of(order, ready.bill),
            "issue_form": IssueForm(initial=initial),
        }
    else:
        account = queries.account_of(chosen)
        context |= {"account": account, **_forms(chosen, account)}
    return sheet(
        request, order, "jobs/bill.html", current="bill", **({"opened": ""} | context | forms)
    )


def _forms(invoice: Invoice, account: queries.Account) -> dict[str, Any]:
    sign, how = invoice.currency, {"auto_id": "refund-%s", "currency": invoice.currency}
    return {
        "pay_form": PaymentForm(initial={"amount": invoice.owed}, currency=sign),
        "refund_form": PaymentForm(initial={"amount": invoice.over}, **how),
        "credit_form": CreditForm(left=account.left, currency=sign, auto_id="credit-%s"),
    }


@require_POST
@permit(Permit.ISSUE_INVOICE)
def issue(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = IssueForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: invoices.issue(request.actor, order=order, **data), form):
            messages.success(request, _("The invoice is issued."))
            return settled(request, order_url(order, "bill"), lambda: page(request, order))
    fresh = renewed(form, order)
    typed = QueryDict(mutable=True)
    typed.update(fresh.data)
    typed["seen"] = str(billing.preview(order).bill.total)
    fresh.data = typed
    return page(request, order, issue_form=fresh)


@require_POST
@permit(Permit.TAKE_PAYMENT)
def pay(request: Request, number: str) -> HttpResponseBase:
    return _money(request, number, "pay", payments.take, _("The payment is recorded."))


@require_POST
@permit(Permit.TAKE_PAYMENT)
def refund(request: Request, number: str) -> HttpResponseBase:
    return _money(request, number, "refund", payments.refund, _("What was paid back is recorded."))


def _money(request: Request, number: str, which: str, do: Any, said: str) -> HttpResponse:
    found = queries.get_invoice(request.actor, number)
    form = PaymentForm(
        request.POST,
        currency=found.currency,
        **({"auto_id": "refund-%s"} if which == "refund" else {}),
    )
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: do(request.actor, invoice=found, **data), form):
            messages.success(request, said)
            return _again(request, found)
    return _again(request, found, **{f"{which}_form": form}, opened=which)


@require_POST
@permit(Permit.ISSUE_INVOICE)
def credit(request: Request, number: str) -> HttpResponseBase:
    found = queries.get_invoice(request.actor, number)
    left = queries.account_of(found).left
    form = CreditForm(request.POST, left=left, currency=found.currency, auto_id="credit-%s")
    if form.is_valid():
        data, amounts = form.cleaned_data, form.amounts()
        words = {"act": data["act"], "because": data["because"], "amounts": amounts}
        if attempt(request, lambda: credits.credit(request.actor, invoice=found, **words), form):
            messages.success(request, _("The credit note is issued."))
            return _again(request, found)
    return _again(request, found, credit_form=form, opened="credit")


def _again(request: Request, invoice: Invoice, **forms: Any) -> HttpResponse:
    found = queries.get_invoice(request.actor, invoice.number)
    order = get_order(request.actor, found.order.number)
    if forms:
        return page(request, order, found, **forms)
    url = reverse("invoice", args=[order.workshop.slug, found.number])
    return settled(request, url, lambda: page(request, order, found))
