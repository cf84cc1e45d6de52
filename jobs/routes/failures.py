"""Failures of components, and what lies behind each, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
