"""The shelf, below the Counter's address."""

from __future__ import annotations

from django.urls import path

from jobs.views import shelf

urlpatterns = [
    path("stock/", shelf.stock, name="stock"),
    path("stock/new/", shelf.new, name="stock-new"),
    path("stock/<int:pk>/", shelf.item, name="stock-item"),
    path("stock/<int:pk>/count/", shelf.count, name="stock-count"),
    path("stock/<int:pk>/change/", shelf.change, name="stock-change"),
]
