"""What payers paid, and the ledger of claims; below the workshop's address."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import claim_ledger, claim_money, payment_files

_FILES = "claims/payments/"

urlpatterns: list[URLPattern | URLResolver] = [
    path("claims/ledger/", claim_ledger.ledger, name="claim-ledger"),
    path("claims/ledger/claims/", claim_ledger.behind, name="claim-ledger-claims"),
    path(_FILES, payment_files.files, name="payment-files"),
    path(f"{_FILES}take/", payment_files.take, name="payment-file-take"),
    path(f"{_FILES}<int:pk>/", payment_files.file, name="payment-file"),
    path(f"{_FILES}<int:pk>/book/", payment_files.book, name="payment-file-book"),
    path(f"{_FILES}lines/<int:pk>/", payment_files.row, name="payment-row"),
    path(f"{_FILES}lines/<int:pk>/aside/", payment_files.aside, name="payment-row-aside"),
    path("claims/<str:number>/money/", claim_money.money, name="claim-money"),
    path("claims/<str:number>/money/pay/", claim_money.pay, name="claim-pay"),
]
