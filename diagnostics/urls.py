"""The addresses of measuring and judging, below the workshop's."""

from __future__ import annotations

from django.urls import path

from diagnostics.views import catalogue

urlpatterns = [
    path("office/catalogue/", catalogue.catalogue, name="catalogue"),
]
