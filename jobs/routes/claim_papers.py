"""A claim on its way out and what came back; below the workshop's address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import claim_papers as views

_ONE = "claims/<str:number>/"
_SENT = f"{_ONE}sent/<int:sending>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_ONE}draft.pdf", views.draft_pdf, name="claim-draft-pdf"),
    path(f"{_ONE}send/", views.send, name="claim-send"),
    path(f"{_SENT}answer/", views.answer, name="claim-answer"),
    path(f"{_SENT}claim.pdf", views.claim_pdf, name="claim-pdf"),
    path(f"{_SENT}claim.json", views.claim_json, name="claim-json"),
    path(f"{_SENT}claim.csv", views.claim_csv, name="claim-csv"),
]
