"""Who is asked to pay: the list, a new one, the page of one."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.claims import PayerForm, RetireForm
from jobs.models import ClaimPayer
from jobs.queries import claim_payers as queries
from jobs.services import claim_payers
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_CLAIMS)
def listing(request: Request) -> HttpResponseBase:
    page = page_of(request, queries.listing(request.actor))
    return show(request, "jobs/claim_payers.html", {"page": page}, partial="list")


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_WORKSHOP)
def new(request: Request) -> HttpResponseBase:
    form = PayerForm(request.POST or None)
    if form.is_valid():
        given, act = form.given, form.act_id
        if attempt(request, lambda: claim_payers.add(request.actor, act=act, given=given), form):
            messages.success(request, _("Added."))
            return go(request, reverse("claim-payers", args=[request.actor.workshop.slug]))
    return show(request, "jobs/claim_payer.html", {"form": form, "payer": None})


@require_http_methods(["GET", "POST"])
@permit(Permit.MANAGE_WORKSHOP)
def payer(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_payer(request.actor, pk)
    form = PayerForm(request.POST or None, initial=_kept(row))
    if form.is_valid() and attempt(request, lambda: _change(request, row, form), form):
        messages.success(request, _("Kept."))
        return go(request, request.path)
    after_clash(form, row)
    retire = RetireForm(initial={"revision": row.revision, "retired": not row.retired})
    context = {"form": form, "payer": row, "retire_form": retire}
    return show(request, "jobs/claim_payer.html", context)


def _change(request: Request, row: ClaimPayer, form: PayerForm) -> None:
    revision = form.cleaned_data["revision"]
    claim_payers.change(
        request.actor,
        act=form.act_id,
        payer=row,
        revision=row.revision if revision is None else revision,
        given=form.given,
    )


@require_POST
@permit(Permit.MANAGE_WORKSHOP)
def retire(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_payer(request.actor, pk)
    form = RetireForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        attempt(request, lambda: claim_payers.retire(request.actor, payer=row, **data), form)
    for sentence in form.non_field_errors():
        messages.error(request, str(sentence))
    return go(request, reverse("claim-payer", args=[request.actor.workshop.slug, pk]))


def _kept(row: ClaimPayer) -> dict[str, object]:
    names = (*claim_payers.COLUMNS, "revision")
    return {name: getattr(row, name) for name in names}
