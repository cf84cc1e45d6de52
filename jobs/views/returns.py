"""Returns that may be comebacks: the list, the decision, and putting one in by hand."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.returns import DecideForm, PutInForm, TakeBackForm
from jobs.models import CauseClass, Comeback, Repair
from jobs.queries import returns_page as queries
from jobs.queries.orders import get_complaint
from jobs.reports.queries.kinds import names_of
from jobs.services import comebacks
from jobs.views.sheet import order_url, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.clash import after_clash
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of

AS_MANY_EARLIER = 30


@require_GET
@permit(Permit.SEE_OFFICE)
def listing(request: Request) -> HttpResponseBase:
    of = queries.wanted(request.GET)
    page = page_of(request, queries.returns(request.actor, of))
    unit = request.actor.workshop.distance_unit
    context = {
        "page": page,
        "rows": [(row, queries.driven(row, unit)) for row in page],
        "of": of,
        "whose": queries.title_of(request.actor, of),
        "kinds": queries.kinds(request.actor, names_of(request.actor)),
        "causes": CauseClass.choices,
    }
    return show(request, "jobs/returns.html", context, partial="list")


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COMEBACK)
def decide(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_return(request.actor, pk)
    if request.method == "GET":
        return _page(request, row)
    form = DecideForm(request.POST)
    if form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("act", "revision", "cause", "reason")}
        if attempt(request, lambda: comebacks.decide(request.actor, comeback=row, **given), form):
            messages.success(request, _("It is decided. The figures count it so from now on."))
            return go(request, reverse("returns", args=[request.actor.workshop.slug]))
    after_clash(form, row)
    return _page(request, row, form)


@require_POST
@permit(Permit.DECIDE_COMEBACK)
def take_back(request: Request, pk: int) -> HttpResponseBase:
    row = queries.get_return(request.actor, pk)
    form = TakeBackForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: comebacks.withdraw(request.actor, comeback=row, **form.cleaned_data),
        form,
    ):
        messages.success(request, _("It is no return any more. The story of the job keeps why."))
        return go(request, reverse("returns", args=[request.actor.workshop.slug]))
    return _page(request, row, take_back=form)


@require_http_methods(["GET", "POST"])
@permit(Permit.DECIDE_COMEBACK)
def put_in(request: Request, number: str, line: int) -> HttpResponseBase:
    complaint = get_complaint(request.actor, number, line)
    earlier = list(queries.earlier_repairs(complaint)[:AS_MANY_EARLIER])
    form = PutInForm(request.POST or None, repairs=earlier)
    if request.method == "POST" and form.is_valid():
        chosen = next(one for one in earlier if str(one.pk) == form.cleaned_data["repair"])
        if attempt(request, lambda: _put_in(request, form, complaint, chosen), form):
            messages.success(request, _("It is among the returns, and waits for its decision."))
            return go(request, order_url(complaint.order))
    context: dict[str, Any] = {"complaint": complaint, "form": form, "earlier": earlier}
    return sheet(request, complaint.order, "jobs/return_put_in.html", current="order", **context)


def _put_in(request: Request, form: PutInForm, complaint: Any, chosen: Repair) -> Comeback:
    return comebacks.put_in(
        request.actor,
        act=form.act_id,
        complaint=complaint,
        repair=chosen,
        reason=form.cleaned_data["reason"],
    )


def _page(
    request: Request,
    row: Comeback,
    form: DecideForm | None = None,
    take_back: TakeBackForm | None = None,
) -> HttpResponse:
    seen = {"revision": row.revision}
    by_hand = row.because == Comeback.Because.BY_HAND and not row.cause
    context = {
        "row": row,
        "driven": queries.driven(row, request.actor.workshop.distance_unit),
        "form": form or DecideForm(initial=seen | {"cause": row.cause, "reason": row.reason}),
        "take_back": (take_back or TakeBackForm(initial=seen)) if by_hand else None,
    }
    return show(request, "jobs/return.html", context, partial="decision")
