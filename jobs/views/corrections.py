"""One entry of the clock: what it said, what counts, and putting it right."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.forms.hours import CorrectionForm, MissingForm
from jobs.models import ClockEntry
from jobs.queries.clock import running
from jobs.queries.orders import get_complaint
from jobs.services import corrections
from jobs.views.hours import person_asked
from jobs.views.sheet import order_url
from shop import clock
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show


@require_GET
@permit(Permit.SEE_HOURS)
def entry(request: Request, pk: int) -> HttpResponseBase:
    return _page(request, _entry(request, pk))


@require_POST
@permit(Permit.CORRECT_CLOCK)
def correct(request: Request, pk: int) -> HttpResponseBase:
    row = _entry(request, pk)
    form = CorrectionForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: corrections.correct(request.actor, entry=row, **data), form):
            messages.success(request, _("Kept. What the clock said stays beside what counts."))
            month = f"{localtime(row.counted_from):%Y-%m}"
            return go(request, _person_url(request, row.user_id) + f"?month={month}")
    return _page(request, _entry(request, pk), form)


@require_http_methods(["GET", "POST"])
@permit(Permit.CORRECT_CLOCK)
def add(request: Request, number: str, line: int) -> HttpResponseBase:
    """Time on a complaint that nobody clocked."""
    complaint = get_complaint(request.actor, number, line)
    initial = {"user": complaint.order.technician_id}
    form = MissingForm(request.POST or None, actor=request.actor, initial=initial)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(
            request, lambda: corrections.add(request.actor, complaint=complaint, **data), form
        ):
            return go(request, order_url(complaint.order))
    context = {"complaint": complaint, "order": complaint.order, "form": form}
    return show(request, "jobs/hours/missing.html", context)


def _page(request: Request, row: ClockEntry, form: CorrectionForm | None = None) -> HttpResponse:
    history = list(row.corrections.select_related("by").order_by("pk"))
    run = running([row], row.workshop)[0] if row.ended_at is None else None
    # A clash has said so; from now on its person sees what counts now.
    if form is None or _is_stale(form, len(history)):
        end = row.counted_to or (run and min(run.off_at, clock.now()))
        initial = {"counted_from": row.counted_from, "counted_to": end, "seen": len(history)}
        said = form.non_field_errors() if form else []
        form = CorrectionForm(initial=initial)
        for sentence in said:
            messages.error(request, str(sentence))
    context: dict[str, Any] = {"entry": row, "run": run, "history": history, "form": form}
    return show(request, "jobs/hours/entry.html", context)


def _is_stale(form: CorrectionForm, corrections_now: int) -> bool:
    return bool(form.non_field_errors()) and form["seen"].value() != str(corrections_now)


def _entry(request: Request, pk: int) -> ClockEntry:
    rows = ClockEntry.objects.of(request.actor)
    row = rows.select_related("complaint__order", "user", "workshop").filter(pk=pk).first()
    if row is None:
        raise Http404
    person_asked(request, row.user_id)
    entry: ClockEntry = row
    return entry


def _person_url(request: Request, person: int) -> str:
    return reverse("hours-person", args=[request.actor.workshop.slug, person])
