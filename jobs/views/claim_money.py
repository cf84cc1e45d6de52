"""The money of one claim: what its payer paid, and booking more of it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.claim_pay import PayForm
from jobs.models import Claim
from jobs.queries import payment_files as queries
from jobs.queries.claims import get_claim
from jobs.services import claim_payments
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show


@require_GET
@permit(Permit.SEE_CLAIMS)
def money(request: Request, number: str) -> HttpResponseBase:
    claim = get_claim(request.actor, number)
    form = PayForm(initial={"paid_on": clock.today()}, currency=request.actor.workshop.currency)
    return _page(request, claim, form)


@require_POST
@permit(Permit.PREPARE_CLAIM)
def pay(request: Request, number: str) -> HttpResponseBase:
    claim = get_claim(request.actor, number)
    form = PayForm(request.POST, currency=request.actor.workshop.currency)
    if form.is_valid() and attempt(
        request, lambda: claim_payments.pay(request.actor, claim=claim, **form.given), form
    ):
        messages.success(request, _("The payment is booked."))
        slug = request.actor.workshop.slug
        return go(request, reverse("claim-money", args=[slug, claim.number]))
    return _page(request, claim, form)


def _page(request: Request, claim: Claim, form: PayForm) -> HttpResponseBase:
    context = {"claim": claim, "money": queries.money_of(claim), "form": form}
    return show(request, "jobs/claim_money.html", context)
