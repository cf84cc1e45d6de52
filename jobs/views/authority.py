"""Authority before the work and back from asking for more; both papers of what was said."""

from __future__ import annotations

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET, require_POST

from jobs.queries import estimate as queries
from jobs.queries.estimate_papers import answer_paper, estimate_paper
from jobs.queries.orders import get_complaint, get_order
from jobs.queries.papers import order_for_paper
from jobs.services import authority as answering
from jobs.services.declined_again import take_up
from jobs.services.diagnosis_authority import authorise_diagnosis
from jobs.views.estimate import diagnosis_form, done, page
from jobs.views.estimate_lines import one_of, plain
from jobs.views.sheet import order_url, renewed
from shop.roles import Permit
from shop.web import pdf
from shop.web.access import Request, permit
from shop.web.forms import ActForm, MoveForm
from shop.web.htmx import attempt, go


@require_POST
@permit(Permit.RECORD_AUTHORITY)
def diagnosis(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    complaints = queries.complaints_of(order)
    form = diagnosis_form(order, complaints, request.POST)
    if form.is_valid():
        data = form.cleaned_data
        if attempt(
            request,
            lambda: authorise_diagnosis(
                request.actor,
                complaint=one_of(complaints, data["complaint"]),
                operation=form.chosen,
                tenths=data["hours"],
                amount=data["amount"],
                **form.answer_data,
            ),
            form,
        ):
            return done(request, number)
    return page(request, number, opened="diagnosis", diagnosis_form=renewed(form, order))


@require_POST
@permit(Permit.RECORD_AUTHORITY)
def nothing_more(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = MoveForm(request.POST)
    revision = form.cleaned_data["revision"] if form.is_valid() else order.revision
    return plain(
        request,
        number,
        lambda act: answering.nothing_more(request.actor, act=act, order=order, revision=revision),
    )


@require_POST
@permit(Permit.TAKE_IN)
def again(request: Request, number: str, earlier: str, line: int) -> HttpResponseBase:
    """What was declined at an earlier visit becomes a complaint of this job."""
    order, declined = get_order(request.actor, number), get_complaint(request.actor, earlier, line)
    form = ActForm(request.POST)
    if form.is_valid():
        attempt(
            request,
            lambda: take_up(request.actor, act=form.act_id, order=order, declined=declined),
        )
    return go(request, order_url(order))


@require_GET
@permit(Permit.SEE_WORKSHOP)
def estimate_pdf(request: Request, number: str, given: int) -> HttpResponseBase:
    order = order_for_paper(request.actor, number)
    paper = estimate_paper(order, given) if order else None
    if order is None or paper is None:
        raise Http404
    context = {"order": order, "workshop": order.workshop, "paper": paper}
    made = pdf.make(
        "print/estimate.html",
        context,
        paper=pdf.chosen_paper(request.GET.get("paper"), order.workshop),
    )
    return pdf.answer(made, f"{order.number}-E{given}.pdf")


@require_GET
@permit(Permit.SEE_WORKSHOP)
def authority_pdf(request: Request, number: str, answer: int) -> HttpResponseBase:
    order = order_for_paper(request.actor, number)
    paper = answer_paper(order, answer) if order else None
    if order is None or paper is None:
        raise Http404
    context = {"order": order, "workshop": order.workshop, "paper": paper}
    made = pdf.make(
        "print/authority_record.html",
        context,
        paper=pdf.chosen_paper(request.GET.get("paper"), order.workshop),
    )
    return pdf.answer(made, f"{order.number}-A{answer}.pdf")
