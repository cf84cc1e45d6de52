"""The monthly report as a paper, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import monthly, monthly_report

_MAKING = "office/reports/making/<int:pk>/"
_ONE = "office/reports/<str:number>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path("office/reports/", monthly.listing, name="reports"),
    path("office/reports/make/", monthly.make, name="report-make"),
    path("office/reports/draft/<str:month>.pdf", monthly_report.draft_pdf, name="report-draft"),
    path(_MAKING, monthly.under_way, name="report-making"),
    path(f"{_MAKING}step/", monthly.step, name="report-step"),
    path(f"{_MAKING}give-up/", monthly.give_up, name="report-give-up"),
    path(_ONE, monthly_report.report, name="report"),
    path(f"{_ONE}report.pdf", monthly_report.report_pdf, name="report-pdf"),
    path(f"{_ONE}report.json", monthly_report.report_json, name="report-json"),
    path(f"{_ONE}tables.xlsx", monthly_report.report_book, name="report-book"),
    path(f"{_ONE}tables/<slug:table>.csv", monthly_report.report_csv, name="report-csv"),
    path(f"{_ONE}revise/", monthly_report.revise, name="report-revise"),
    path(f"{_ONE}mail/", monthly_report.mail, name="report-mail"),
]
