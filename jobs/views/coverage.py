"""Who pays for a complaint: shown with its reasons, decided, objected to, shown a year later."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.coverage import DecideForm, ObjectionForm, WithdrawForm
from jobs.models import Complaint
from jobs.queries import coverage_page as queries
from jobs.queries.coverage import CoveragePicture, picture_of
from jobs.queries.orders import get_complaint
from jobs.services import coverage as deciding
from jobs.services import objections
from jobs.stages import Stage
from jobs.views.sheet import sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go


@require_GET
@permit(Permit.SEE_WORKSHOP)
def who_pays(request: Request, number: str, line: int) -> HttpResponseBase:
    return _page(request, get_complaint(request.actor, number, line))


@require_POST
@permit(Permit.DECIDE_COVERAGE)
def decide(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    form = DecideForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: deciding.decide_payer(request.actor, complaint=complaint, **form.given),
        form,
    ):
        messages.success(request, _("It is put down who pays."))
        return go(request, _address(complaint))
    return _page(request, get_complaint(request.actor, number, line), decide=form)


@require_POST
@permit(Permit.DECIDE_COVERAGE)
def object_to(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    form = ObjectionForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(
            request, lambda: objections.object_to(request.actor, complaint=complaint, **data), form
        ):
            return go(request, _address(complaint))
    return _page(request, complaint, objection=form)


@require_POST
@permit(Permit.DECIDE_COVERAGE)
def withdraw(request: Request, number: str, line: int, objection: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    row = queries.get_objection(request.actor, complaint, objection)
    form = WithdrawForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(
            request, lambda: objections.withdraw(request.actor, objection=row, **data), form
        ):
            return go(request, _address(complaint))
    return _page(request, complaint, withdraw=form, withdrawing=row.pk)


@require_GET
@permit(Permit.SEE_WORKSHOP)
def decision(request: Request, number: str, line: int, decision: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    return sheet(
        request,
        complaint.order,
        "jobs/coverage_decision.html",
        current="order",
        complaint=complaint,
        kept=queries.kept_of(complaint, decision),
    )


def _page(
    request: Request,
    complaint: Complaint,
    *,
    decide: DecideForm | None = None,
    objection: ObjectionForm | None = None,
    withdraw: WithdrawForm | None = None,
    withdrawing: int = 0,
) -> HttpResponse:
    picture = picture_of(complaint)
    return sheet(
        request,
        complaint.order,
        "jobs/who_pays.html",
        current="order",
        complaint=complaint,
        cover=queries.who_pays(picture),
        decide_form=_as_typed(decide, picture) if decide else _fresh(picture),
        objection_form=objection or ObjectionForm(),
        withdraw_form=withdraw or WithdrawForm(),
        withdrawing=withdrawing,
        gone=Stage(complaint.order.stage) in deciding.GONE,
    )


def _fresh(picture: CoveragePicture) -> DecideForm:
    """With what the rules say; with what was put down where they leave it to a person."""
    expected = deciding.expected_payer(picture.decision)
    payers, row = picture.decision.payers, picture.complaint
    return DecideForm(
        initial={
            "seen": picture.seen,
            "payer": expected or row.payer,
            "percent": payers[0].percent if payers else row.payer_percent,
            "because": row.share_because if row.payer == expected else "",
        }
    )


def _as_typed(form: DecideForm, picture: CoveragePicture) -> DecideForm:
    """The form as typed, for the facts as the page now shows them."""
    typed = QueryDict(mutable=True)
    typed.update(form.data)
    typed["seen"] = picture.seen
    form.data = typed
    return form


def _address(complaint: Complaint) -> str:
    order = complaint.order
    return reverse("who-pays", args=[order.workshop.slug, order.number, complaint.line])
