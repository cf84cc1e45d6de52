"""One issued report: its page, its papers and files, revising it, and the draft of a month."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.forms.monthly import ReviseForm
from jobs.models import MonthlyReportPaper, ReportMaking
from jobs.reports import book, files, office
from jobs.reports.monthly import mailing, making, months, reading
from jobs.reports.monthly.paper import Paper, pdf_of
from jobs.views.monthly import making_url
from shop.errors import Refusal
from shop.models import Workshop
from shop.roles import Permit
from shop.web import pdf, sheets
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt, go, show


@require_GET
@permit(Permit.SEE_OFFICE)
def report(request: Request, number: str) -> HttpResponseBase:
    return _page(request, number, ReviseForm())


@require_GET
@permit(Permit.SEE_OFFICE)
def report_pdf(request: Request, number: str) -> HttpResponseBase:
    """As it was issued, byte for byte."""
    row = reading.get_report(request.actor, number)
    paper = MonthlyReportPaper.objects.defer("document").get(report=row)
    sheet = pdf.chosen_paper(request.GET.get("paper"), request.actor.workshop)
    kept = paper.letter if sheet == Workshop.Paper.LETTER else paper.a4
    return pdf.answer(bytes(kept), f"{row.number}-{sheet}.pdf")


@require_GET
@permit(Permit.SEE_OFFICE)
def report_csv(request: Request, number: str, table: str) -> HttpResponseBase:
    found = reading.get_table(request.actor, number, table)
    return sheets.csv_answer(files.as_table(found), f"{number.upper()}-{table}.csv")


@require_GET
@permit(Permit.SEE_OFFICE)
def report_book(request: Request, number: str) -> HttpResponseBase:
    found = reading.get_issued(request.actor, number)
    return sheets.book_answer(book.book_of(found.report), f"{found.row.number}.xlsx")


@require_GET
@permit(Permit.SEE_OFFICE)
def report_json(request: Request, number: str) -> HttpResponseBase:
    found = reading.get_issued(request.actor, number)
    answer = HttpResponse(found.paper.document.encode(), content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="{found.row.number}.json"'
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@permit(Permit.ISSUE_REPORT)
def revise(request: Request, number: str) -> HttpResponseBase:
    row, form = reading.get_report(request.actor, number), ReviseForm(request.POST)
    begun: list[ReportMaking] = []

    def begin() -> None:
        because = form.cleaned_data["because"]
        begun.append(making.begin(request.actor, act=form.act_id, month=row.month, because=because))

    if form.is_valid() and attempt(request, begin, form):
        return go(request, making_url(request, begun))
    return _page(request, number, form)


@require_POST
@permit(Permit.ISSUE_REPORT)
def mail(request: Request, number: str) -> HttpResponseBase:
    """Once more, for one that did not go out."""
    row, form = reading.get_report(request.actor, number), ActForm(request.POST)
    said: list[str] = []

    def send() -> None:
        said.append(mailing.mail_again(request.actor, act=form.act_id, report=row))

    if form.is_valid() and attempt(request, send):
        if any(said):
            messages.warning(request, said[0])
        else:
            row.refresh_from_db(fields=["mailed_to"])
            messages.success(request, _("Mailed to %(to)s.") % {"to": row.mailed_to})
    return go(request, reverse("report", args=[request.actor.workshop.slug, row.number]))


@require_GET
@permit(Permit.SEE_OFFICE)
def draft_pdf(request: Request, month: str) -> HttpResponseBase:
    """A month as its report would be now; it says on itself that it is a draft."""
    workshop = request.actor.workshop
    try:
        first = months.may_be_shown(workshop, months.month_of(month))
    except Refusal as refusal:
        messages.warning(request, refusal.sentence)
        return go(request, reverse("reports", args=[workshop.slug]))
    made = office.report(request.actor, office.span_of(first))
    sheet = pdf.chosen_paper(request.GET.get("paper"), workshop)
    name = f"{workshop.slug}-{first:%Y-%m}-draft.pdf"
    return pdf.answer(pdf_of(workshop, Paper(made), sheet=sheet), name)


def _page(request: Request, number: str, form: ReviseForm) -> HttpResponseBase:
    found = reading.get_issued(request.actor, number)
    context = {"issued": found, "form": form, "may_mail": mailing.recipients(found.row.workshop)}
    return show(request, "jobs/report.html", context, partial="revise")
