"""Returns: proposed by the rule, decided by a person, below the workshop’s address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import returns

urlpatterns: list[URLPattern | URLResolver] = [
    path("returns/", returns.listing, name="returns"),
    path("returns/<int:pk>/", returns.decide, name="return"),
    path("returns/<int:pk>/take-back/", returns.take_back, name="return-take-back"),
    path("orders/<str:number>/complaints/<int:line>/return/", returns.put_in, name="return-put-in"),
]
