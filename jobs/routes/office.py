"""The Office: the month on one page and the jobs behind its figures."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import office

urlpatterns: list[URLPattern | URLResolver] = [
    path("office/", office.office, name="office"),
    path("office/tables.xlsx", office.book, name="office-book"),
    path("office/figures/<slug:key>/", office.section, name="office-section"),
    path("office/jobs/<slug:figure>/<str:month>/", office.jobs_behind, name="office-jobs"),
    path("office/fitted/<int:component>/", office.jobs_with, name="office-component"),
]
