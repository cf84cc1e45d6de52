"""Addresses of prices and terms."""

from __future__ import annotations

from django.urls import path

from jobs.views import prices, terms

urlpatterns = [
    path("office/prices/", prices.prices, name="prices"),
    path("office/prices/rates/", prices.rates, name="rates"),
    path("office/prices/markup/", prices.markup, name="markup"),
    path("office/prices/rounding/", prices.tax_rounding, name="tax-rounding"),
    path("office/prices/taxes/", prices.tax_new, name="tax-new"),
    path("office/prices/taxes/<int:pk>/", prices.tax, name="tax"),
    path("office/prices/taxes/<int:pk>/retire/", prices.tax_retire, name="tax-retire"),
    path("office/terms/", terms.terms, name="terms"),
]
