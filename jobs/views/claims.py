"""Claims: the list, one claim, and the acts on it before it goes out."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.claims.states import State, Step, may
from jobs.forms.claim_out import out_forms
from jobs.forms.claims import (
    ApproveForm,
    DraftForm,
    ReadAgainForm,
    ReasonForm,
    ReopenForm,
    WordsForm,
)
from jobs.models import Claim
from jobs.queries import claims as queries
from jobs.queries.claim_lacking import lacking_of
from jobs.queries.claim_out import out_of
from jobs.queries.claim_payers import in_use
from jobs.queries.orders import get_complaint
from jobs.services import claims
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_CLAIMS)
def listing(request: Request) -> HttpResponseBase:
    group, asked = request.GET.get("group", "ours"), request.GET.get("q", "")
    payer = request.GET.get("payer", "")
    rows = queries.listing(
        request.actor,
        group="" if asked else group,
        payer=int(payer) if payer.isdecimal() and len(payer) < 10 else None,
        asked=asked,
    )
    page = page_of(request, rows)
    context = {
        "page": page,
        "rows": [queries.row_of(claim) for claim in page],
        "group": group,
        "q": asked,
        "payer": payer,
        "payers": in_use(request.actor.workshop.pk),
    }
    return show(request, "jobs/claims.html", context, partial="list")


@require_GET
@permit(Permit.SEE_CLAIMS)
def claim(request: Request, number: str) -> HttpResponseBase:
    return page(request, queries.get_claim(request.actor, number))


def page(request: Request, found: Claim, opened: str = "", **bound: Any) -> HttpResponse:
    """The claim as it stands now; `bound` are forms to show again, `opened` the one in use."""
    picture, out = queries.picture_of(found), out_of(found)
    lacking = lacking_of(found, on=clock.today()) if found.state == State.DRAFT else ()
    context = {
        "lacking": lacking,
        "claim": found,
        "picture": picture,
        "row": picture.row,
        "order": found.complaint.order,
        "opened": opened,
        "out": out,
        "send_lacking": lacking_of(found, on=clock.today()) if out.may_send else (),
        **_forms(request, found, len(lacking)),
        **out_forms(request.actor, found, out),
        **bound,
    }
    return show(request, "jobs/claim.html", context, partial="sheet")


def _forms(request: Request, found: Claim, lacking: int = 0) -> dict[str, forms.Form]:
    """One for each act that this person may do now."""
    state, actor = State(found.state), request.actor
    initial: dict[str, Any] = {"revision": found.revision}
    prepare, decide = actor.may(Permit.PREPARE_CLAIM), actor.may(Permit.APPROVE_CLAIM)
    words = {name: getattr(found, name) for name in ("concern", "cause", "correction")}
    offered: dict[str, forms.Form] = {}
    if prepare and may(Step.WORD, state):
        offered["words_form"] = WordsForm(initial=initial | words)
        offered["again_form"] = ReadAgainForm(initial=initial)
    if decide and may(Step.APPROVE, state):
        offered["approve_form"] = ApproveForm(initial=initial, lacking=lacking)
    if prepare and may(Step.REOPEN, state):
        offered["reopen_form"] = ReopenForm(initial=initial)
    if decide and may(Step.WRITE_OFF, state):
        offered["write_off_form"] = ReasonForm(initial=initial, auto_id="write-off-%s")
    if decide and may(Step.VOID, state) and not found.first_sent_at:
        offered["void_form"] = ReasonForm(initial=initial, auto_id="void-%s")
    return offered


@require_POST
@permit(Permit.PREPARE_CLAIM)
def draft(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    slug = request.actor.workshop.slug
    form = DraftForm(request.POST, payers=in_use(request.actor.workshop.pk))
    made: list[Claim] = []

    def begin() -> None:
        data = dict(form.cleaned_data)
        made.append(claims.draft(request.actor, complaint=complaint, **data))

    if form.is_valid() and attempt(request, begin, form):
        if made:
            return go(request, reverse("claim", args=[slug, made[0].number]))
        return go(request, reverse("order", args=[slug, number]))
    for sentence in (*form.non_field_errors(), *form.errors.get("payer", ())):
        messages.error(request, str(sentence))
    return go(request, reverse("order", args=[slug, number]))


@require_POST
@permit(Permit.PREPARE_CLAIM)
def word(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "words", WordsForm, claims.word, _("The words are kept."))


@require_POST
@permit(Permit.PREPARE_CLAIM)
def read_again(request: Request, number: str) -> HttpResponseBase:
    said = _("Lines, cause and correction are those of the job now.")
    return _act(request, number, "again", ReadAgainForm, claims.read_again, said)


@require_POST
@permit(Permit.PREPARE_CLAIM)
def reopen(request: Request, number: str) -> HttpResponseBase:
    said = _("The claim is open again.")
    return _act(request, number, "reopen", ReopenForm, claims.reopen, said)


@require_POST
@permit(Permit.APPROVE_CLAIM)
def void(request: Request, number: str) -> HttpResponseBase:
    return _act(request, number, "void", ReasonForm, claims.void, _("The claim is struck out."))


@require_POST
@permit(Permit.APPROVE_CLAIM)
def write_off(request: Request, number: str) -> HttpResponseBase:
    said = _("What was owed is written off.")
    return _act(request, number, "write_off", ReasonForm, claims.write_off, said)


@require_POST
@permit(Permit.APPROVE_CLAIM)
def approve(request: Request, number: str) -> HttpResponseBase:
    found = queries.get_claim(request.actor, number)
    form = partial(ApproveForm, lacking=len(lacking_of(found, on=clock.today())))
    return _act(request, number, "approve", form, claims.approve, _("Approved."))


def _act(
    request: Request,
    number: str,
    name: str,
    make: Callable[..., forms.Form],
    do: Callable[..., None],
    said: str,
) -> HttpResponseBase:
    """One act on a claim: done, or the page again with what was typed and why it was refused."""
    found = queries.get_claim(request.actor, number)
    form = make(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: do(request.actor, claim=found, **data), form):
            messages.success(request, said)
            return go(request, reverse("claim", args=[request.actor.workshop.slug, number]))
    after_clash(form, found)
    found = queries.get_claim(request.actor, number)
    if f"{name}_form" not in _forms(request, found):
        for sentence in form.non_field_errors():
            messages.error(request, str(sentence))
    return page(request, found, opened=name, **{f"{name}_form": form})
