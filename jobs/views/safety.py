"""A text for the official safety-defect complaint: shown and printed, never sent."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.queries.orders import get_complaint
from jobs.queries.safety import report_of, why_offered
from jobs.queries.terms import terms_of
from jobs.safety_report import Report, text
from jobs.views.sheet import sheet
from shop.roles import Permit
from shop.web.access import Request, permit


@require_GET
@permit(Permit.SEE_WORKSHOP)
def safety(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    report = report_of(complaint, **_ticked(request))
    terms = terms_of(complaint.order.workshop)
    return sheet(
        request,
        complaint.order,
        "jobs/safety.html",
        current="order",
        complaint=complaint,
        terms=terms,
        reasons=why_offered(report, terms),
        text=text(report),
        ticked=_ticked(request),
    )


@require_GET
@permit(Permit.SEE_WORKSHOP)
def safety_text(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    report: Report = report_of(complaint, **_ticked(request))
    return HttpResponse(text(report), content_type="text/plain; charset=utf-8")


def _ticked(request: Request) -> dict[str, bool]:
    """What of persons is to be in the text: nothing unless ticked."""
    return {"with_vin": "vin" in request.GET, "with_customer": "customer" in request.GET}
