"""Addresses of the clock and of the hours, below the workshop's."""

from __future__ import annotations

from django.urls import path

from jobs.views import clock

_COMPLAINT = "orders/<str:number>/complaints/<int:line>/"

urlpatterns = [
    path("bay/clock/", clock.now, name="clock-now"),
    path(f"{_COMPLAINT}clock/", clock.here, name="clock-here"),
    path(f"{_COMPLAINT}clock/on/", clock.on, name="clock-on"),
    path(f"{_COMPLAINT}clock/off/", clock.off, name="clock-off"),
]
