"""A claim on its way out, what came back, and the papers of each sending."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.claims.document_text import from_json, to_csv
from jobs.forms.claim_out import answer_form, send_form
from jobs.models import ClaimAnswer
from jobs.queries import claim_out as queries
from jobs.queries.claim_document import claim_for_paper, document_of
from jobs.queries.claim_lacking import lacking_of
from jobs.queries.claims import get_claim
from jobs.services import claim_answers, claim_sending
from jobs.services.claim_pdf import pdf_of
from jobs.views.claims import page
from shop import clock
from shop.roles import Permit
from shop.web import pdf
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go
from shop.web.sheets import BYTE_ORDER_MARK


@require_GET
@permit(Permit.SEE_CLAIMS)
def draft_pdf(request: Request, number: str) -> HttpResponseBase:
    """As it would go out now; it says on itself that it is a draft."""
    claim = claim_for_paper(request.actor, number)
    lacking = lacking_of(claim, on=clock.today())
    made = pdf_of(claim, document_of(claim, None, lacking), paper=request.GET.get("paper", ""))
    return pdf.answer(made, f"{claim.number}-draft.pdf")


@require_POST
@permit(Permit.PREPARE_CLAIM)
def send(request: Request, number: str) -> HttpResponseBase:
    claim = get_claim(request.actor, number)
    form = send_form(claim, queries.out_of(claim), request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        act = data.pop("act")
        if attempt(
            request,
            lambda: claim_sending.send(request.actor, act=act, claim=claim, **data),
            form,
        ):
            messages.success(request, _("Recorded. Its papers are kept as they went out."))
            return go(request, reverse("claim", args=[request.actor.workshop.slug, claim.number]))
    after_clash(form, claim)
    return page(request, get_claim(request.actor, number), opened="send", send_form=form)


@require_POST
@permit(Permit.PREPARE_CLAIM)
def answer(request: Request, number: str, sending: int) -> HttpResponseBase:
    sent = queries.get_submission(request.actor, number, sending)
    claim = get_claim(request.actor, number)
    form = answer_form(claim, request.POST)
    if form.is_valid():
        said, seen = form.said, form.cleaned_data["revision"]

        def record() -> None:
            claim_answers.answer(
                request.actor, act=form.act_id, submission=sent, said=said, seen=seen
            )

        if attempt(request, record, form):
            messages.success(request, _said(said.kind))
            return go(request, reverse("claim", args=[request.actor.workshop.slug, claim.number]))
    found = get_claim(request.actor, number)
    if not queries.out_of(found).may_answer:
        for sentence in form.non_field_errors():
            messages.error(request, str(sentence))
        return page(request, found)
    after_clash(form, found)
    return page(request, found, opened="answer", answer_form=form)


def _said(kind: str) -> str:
    if kind == ClaimAnswer.Kind.PART:
        return _("Recorded. Print the tag of the part and send it.")
    return _("The answer is recorded.")


@require_GET
@permit(Permit.SEE_CLAIMS)
def claim_pdf(request: Request, number: str, sending: int) -> HttpResponseBase:
    paper = queries.get_paper(request.actor, number, sending)
    return pdf.answer(bytes(paper.pdf), f"{number.upper()}-{sending}.pdf")


@require_GET
@permit(Permit.SEE_CLAIMS)
def claim_json(request: Request, number: str, sending: int) -> HttpResponseBase:
    paper = queries.get_paper(request.actor, number, sending)
    return _file(paper.document, "application/json", f"{number.upper()}-{sending}.json")


@require_GET
@permit(Permit.SEE_CLAIMS)
def claim_csv(request: Request, number: str, sending: int) -> HttpResponseBase:
    paper = queries.get_paper(request.actor, number, sending)
    lines = BYTE_ORDER_MARK + to_csv(from_json(paper.document))
    return _file(lines, "text/csv; charset=utf-8", f"{number.upper()}-{sending}.csv")


def _file(text: str, kind: str, name: str) -> HttpResponse:
    response = HttpResponse(text.encode(), content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "no-store"
    return response
