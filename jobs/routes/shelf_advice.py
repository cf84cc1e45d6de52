"""Addresses of what to keep on the shelf, below the workshop's."""

from __future__ import annotations

from django.urls import path

from jobs.views import shelf_advice

urlpatterns = [
    path("counter/keep/", shelf_advice.advice, name="shelf-advice"),
    path("counter/keep/set/", shelf_advice.keep, name="shelf-keep"),
]
