"""What a vehicle is promised: contracts and campaigns; below the workshop's address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import vehicle_cover as views

urlpatterns: list[URLPattern | URLResolver] = [
    path("vehicles/<int:pk>/contracts/new/", views.contract_new, name="contract-new"),
    path("vehicles/<int:pk>/campaigns/new/", views.campaign_new, name="campaign-new"),
    path("contracts/<int:pk>/", views.contract, name="contract"),
    path("contracts/<int:pk>/end/", views.contract_end, name="contract-end"),
    path("campaigns/<int:pk>/", views.campaign, name="campaign"),
]
