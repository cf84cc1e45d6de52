"""Addresses of what the bookkeeper takes out."""

from __future__ import annotations

from django.urls import path

from jobs.views import accounts

urlpatterns = [
    path("office/accounts/", accounts.accounts, name="accounts"),
    path("office/accounts.xlsx", accounts.accounts_book, name="accounts-book"),
    path("office/accounts/<slug:table>.csv", accounts.accounts_csv, name="accounts-csv"),
]
