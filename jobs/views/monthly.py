"""Monthly reports: the list, making one, and giving one up."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.monthly import MakeForm
from jobs.models import ReportMaking
from jobs.reports.monthly import making, months, reading
from shop import clock
from shop.errors import Refusal
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_OFFICE)
def listing(request: Request) -> HttpResponseBase:
    return _list(request, None)


@require_POST
@permit(Permit.ISSUE_REPORT)
def make(request: Request) -> HttpResponseBase:
    form = MakeForm(request.POST, months=months.not_issued_yet(request.actor.workshop))
    begun: list[ReportMaking] = []

    def begin() -> None:
        month = months.month_of(form.cleaned_data["month"])
        begun.append(making.begin(request.actor, act=form.act_id, month=month))

    if form.is_valid() and attempt(request, begin, form):
        return go(request, making_url(request, begun))
    return _list(request, form)


@require_GET
@permit(Permit.ISSUE_REPORT)
def under_way(request: Request, pk: int) -> HttpResponseBase:
    progress = making.progress_of(reading.get_making(request.actor, pk))
    if progress.finished:
        return go(request, _issued(request, progress.making))
    return _making(request, progress)


@require_POST
@permit(Permit.ISSUE_REPORT)
def step(request: Request, pk: int) -> HttpResponseBase:
    """One step; the page asks for the next by itself where it can."""
    found = reading.get_making(request.actor, pk)
    if request.POST.get("seen") == str(found.step):
        try:
            found = making.step(request.actor, found).making
        except Refusal as refusal:
            messages.warning(request, refusal.sentence)
            return go(request, _reports(request))
    progress = making.progress_of(found)
    if progress.finished:
        messages.success(request, _("Issued. The report is kept as it is now."))
        return go(request, _issued(request, progress.making))
    if not request.htmx:
        return go(request, making_url(request, [found]))
    return _making(request, progress)


@require_POST
@permit(Permit.ISSUE_REPORT)
def give_up(request: Request, pk: int) -> HttpResponseBase:
    found, form = reading.get_making(request.actor, pk), ActForm(request.POST)
    if form.is_valid() and attempt(
        request, lambda: making.give_up(request.actor, act=form.act_id, making=found)
    ):
        messages.success(request, _("Given up. Nothing was issued."))
    return go(request, _reports(request))


def _list(request: Request, form: MakeForm | None) -> HttpResponseBase:
    workshop = request.actor.workshop
    makings = [making.progress_of(one) for one in reading.makings_of(request.actor)]
    begun = {one.making.month for one in makings}
    open_months = [month for month in months.not_issued_yet(workshop) if month not in begun]
    context = {
        "page": page_of(request, reading.reports_of(request.actor)),
        "makings": makings,
        "form": form or MakeForm(months=open_months),
        "open_months": open_months,
        "this_month": _this_month(request),
    }
    return show(request, "jobs/reports.html", context, partial="list")


def _making(request: Request, progress: making.Progress) -> HttpResponseBase:
    """Goes on by itself when it was asked to, until a step fails."""
    asked = bool(request.htmx) or request.GET.get("go") == "on"
    goes_on = asked and not progress.making.failed_because
    context = {"progress": progress, "goes_on": goes_on}
    return show(request, "jobs/report_making.html", context, partial="progress")


def making_url(request: Request, begun: list[ReportMaking]) -> str:
    """The page of the making, going on; of one that was sent twice, the list on which it stands."""
    if not begun:
        return _reports(request)
    path = reverse("report-making", args=[request.actor.workshop.slug, begun[0].pk])
    return f"{path}?go=on"


def _this_month(request: Request) -> date | None:
    """The month under way, when there is anything of it."""
    month = clock.today().replace(day=1)
    first = months.first_month(request.actor.workshop)
    return month if first and first <= month else None


def _reports(request: Request) -> str:
    return reverse("reports", args=[request.actor.workshop.slug])


def _issued(request: Request, done: ReportMaking) -> str:
    assert done.report is not None
    return reverse("report", args=[request.actor.workshop.slug, done.report.number])
