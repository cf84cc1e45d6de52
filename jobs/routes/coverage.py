"""Who pays for a complaint, and why; below the workshop's address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import coverage

HERE = "orders/<str:number>/complaints/<int:line>/who-pays/"
urlpatterns: list[URLPattern | URLResolver] = [
    path(HERE, coverage.who_pays, name="who-pays"),
    path(f"{HERE}decide/", coverage.decide, name="who-pays-decide"),
    path(f"{HERE}object/", coverage.object_to, name="who-pays-object"),
    path(f"{HERE}objections/<int:objection>/", coverage.withdraw, name="who-pays-withdraw"),
    path(f"{HERE}<int:decision>/", coverage.decision, name="who-pays-decision"),
]
