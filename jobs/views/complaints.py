"""Cause and correction of one complaint."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.views.decorators.http import require_http_methods

from diagnostics.queries.evidence import Candidate, candidates, evidence_words
from jobs.forms.conclusion import NO_FAULT, ConclusionForm
from jobs.forms.order import CorrectionForm
from jobs.models import Complaint
from jobs.queries.orders import get_complaint, work_done
from jobs.queries.suspects import Suspect, suspects_of
from jobs.services import complaints, conclusions
from jobs.views.sheet import order_url, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go


@require_http_methods(["GET", "POST"])
@permit(Permit.CONCLUDE)
def conclude(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    suspects = suspects_of(complaint.order.session)
    recorded = candidates(complaint.order.session)
    form = _form(request, complaint, suspects, recorded)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data

        def act() -> object:
            return conclusions.conclude(
                request.actor,
                complaint,
                act=form.act_id,
                finding=form.finding(),
                evidence=data["evidence"],
                without_evidence=data["without_evidence"],
                replaces=data["seen"],
            )

        if attempt(request, act, form):
            return go(request, order_url(complaint.order))
    return sheet(
        request,
        complaint.order,
        "jobs/conclude.html",
        current="order",
        complaint=complaint,
        form=form,
        recorded=recorded,
        **_chosen(form, suspects),
    )


def _chosen(form: ConclusionForm, suspects: tuple[Suspect, ...]) -> dict[str, Any]:
    """What is pointed at and what is not, and what is ticked so far."""
    unit = form["unit"].value() or ""
    rest = [one for one in suspects if not one.why]
    return {
        "pointed": [one for one in suspects if one.why],
        "rest": rest,
        "rest_chosen": unit in {one.key for one in rest},
        "unit": unit,
        "ticked": form["evidence"].value() or [],
    }


def _form(
    request: Request,
    complaint: Complaint,
    suspects: tuple[Suspect, ...],
    recorded: tuple[Candidate, ...],
) -> ConclusionForm:
    """Bound on sending; while choosing, what was chosen so far comes along in the address."""
    chosen = request.POST if request.method == "POST" else request.GET
    unit = chosen.get("unit", _standing_unit(complaint))
    component = next((one.component for one in suspects if one.key == unit), None)
    if request.method == "POST":
        return ConclusionForm(
            request.POST, suspects=suspects, candidates=recorded, component=component
        )
    initial = {"unit": unit, "seen": complaint.conclusion_id, **_so_far(request, complaint)}
    return ConclusionForm(
        initial=initial, suspects=suspects, candidates=recorded, component=component
    )


def _so_far(request: Request, complaint: Complaint) -> dict[str, Any]:
    """What came along in the address; at first, what the standing conclusion says."""
    made = complaint.conclusion
    if made and "unit" not in request.GET:
        evidence = [one.key for one in evidence_words(made)]
        return {"failure_mode": made.failure_mode_id, "words": made.words, "evidence": evidence}
    return {
        "failure_mode": request.GET.get("failure_mode", ""),
        "words": request.GET.get("words", ""),
        "evidence": request.GET.getlist("evidence"),
    }


def _standing_unit(complaint: Complaint) -> str:
    """The unit of the conclusion that stands, as the form's choice."""
    made = complaint.conclusion
    if made is None:
        return ""
    return NO_FAULT if made.no_fault_found else f"{made.component_id}:{made.position}"


@require_http_methods(["GET", "POST"])
@permit(Permit.CONCLUDE)
def correction(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    form = CorrectionForm(request.POST or None, initial={"text": complaint.correction})
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: complaints.correct(request.actor, complaint, **data), form):
            back = "proving" if request.GET.get("back") == "proving" else "order"
            return go(request, order_url(complaint.order, back))
    return sheet(
        request,
        complaint.order,
        "jobs/correction.html",
        current="order",
        complaint=complaint,
        form=form,
        work_done=work_done(complaint),
    )
