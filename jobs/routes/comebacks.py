"""Comebacks: proposed by the rule, decided by a person, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
