"""The official safety-defect complaint; below the workshop's address."""

from __future__ import annotations

from django.urls import path

from jobs.views import safety

urlpatterns = [
    path("orders/<str:number>/complaints/<int:line>/safety/", safety.safety, name="safety"),
    path(
        "orders/<str:number>/complaints/<int:line>/safety.txt",
        safety.safety_text,
        name="safety-text",
    ),
]
