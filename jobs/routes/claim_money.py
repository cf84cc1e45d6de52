"""What payers paid, and the ledger of claims; below the workshop's address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
