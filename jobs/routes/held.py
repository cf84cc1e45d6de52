"""Held parts and their tags, below the workshop's address."""

from __future__ import annotations

from django.urls import path

from jobs.views import fitting, held, scan, tags

urlpatterns = [
    path(
        "orders/<str:number>/fitting/<int:pk>/serials/", fitting.correct_serials, name="fit-serials"
    ),
    path("scan/", scan.scan, name="scan"),
    path("held/", held.held, name="held"),
    path("held/tags.pdf", tags.tags, name="held-tags"),
    path("held/<str:number>/", held.tag, name="held-part"),
    path("held/<str:number>/tag.pdf", tags.label, name="held-label"),
    path("held/<str:number>/change/", held.change, name="held-change"),
    path("held/<str:number>/send/", held.send, name="held-send"),
    path("held/<str:number>/give/", held.give, name="held-give"),
    path("held/<str:number>/scrap/", held.scrap, name="held-scrap"),
    path("held/<str:number>/credit/", held.credit, name="held-credit"),
    path("held/<str:number>/take-back/", held.take_back, name="held-take-back"),
]
