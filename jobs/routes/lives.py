"""Vehicles that are gone, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import gone

urlpatterns: list[URLPattern | URLResolver] = [
    path("vehicles/<int:pk>/gone/", gone.gone, name="vehicle-gone"),
    path("vehicles/<int:pk>/not-gone/", gone.not_gone, name="vehicle-not-gone"),
]
