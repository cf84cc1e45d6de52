"""The bill of a job, invoices, payments, and the Till."""

from __future__ import annotations

from django.urls import path

from jobs.views import invoice, till

_INVOICE = "invoices/<str:number>/"

urlpatterns = [
    path("orders/<str:number>/bill/", invoice.bill, name="bill"),
    path("orders/<str:number>/bill/issue/", invoice.issue, name="bill-issue"),
    path("invoices/", invoice.listing, name="invoices"),
    path(_INVOICE, invoice.invoice, name="invoice"),
    path(f"{_INVOICE}pay/", invoice.pay, name="invoice-pay"),
    path(f"{_INVOICE}refund/", invoice.refund, name="invoice-refund"),
    path(f"{_INVOICE}credit/", invoice.credit, name="invoice-credit"),
    path(f"{_INVOICE}paper.pdf", till.paper, name="invoice-pdf"),
    path("receipts/<str:number>/receipt.pdf", till.receipt, name="receipt-pdf"),
    path("till/", till.till, name="till"),
    path("till/<str:day>/day.pdf", till.day_list, name="till-day"),
]
