"""Failures of components, and what lies behind each, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import failures

urlpatterns: list[URLPattern | URLResolver] = [
    path("office/failures/", failures.all_kinds, name="failures"),
    path("office/failures/<slug:key>/", failures.sheet, name="failure-sheet"),
    path("office/failures/<slug:key>/jobs/", failures.jobs_behind, name="failure-jobs"),
]
