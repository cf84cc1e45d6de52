"""Addresses of the clock and of the hours, below the workshop's."""

from __future__ import annotations

from django.urls import path

from jobs.views import clock, corrections, hours, working_hours

_COMPLAINT = "orders/<str:number>/complaints/<int:line>/"

urlpatterns = [
    path("bay/clock/", clock.now, name="clock-now"),
    path(f"{_COMPLAINT}clock/", clock.here, name="clock-here"),
    path(f"{_COMPLAINT}clock/on/", clock.on, name="clock-on"),
    path(f"{_COMPLAINT}clock/off/", clock.off, name="clock-off"),
    path(f"{_COMPLAINT}clock/missing/", corrections.add, name="clock-add"),
    path("hours/", hours.hours, name="hours"),
    path("hours/people/<int:person>/", hours.person, name="hours-person"),
    path("hours/people/<int:person>/week/", working_hours.week, name="working-hours"),
    path("hours/people/<int:person>/away/", working_hours.away, name="absence-add"),
    path("hours/away/<int:pk>/off/", working_hours.there, name="absence-off"),
    path("hours/entries/<int:pk>/", corrections.entry, name="clock-entry"),
    path("hours/entries/<int:pk>/correct/", corrections.correct, name="clock-correct"),
]
