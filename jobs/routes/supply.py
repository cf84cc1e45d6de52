"""The Counter: orders to suppliers, what comes, what goes back, and the suppliers."""

from __future__ import annotations

from django.urls import path

from jobs.views import (
    counter,
    parts,
    suppliers,
    supply,
    supply_changes,
    supply_papers,
    supply_returns,
)

_ORDER = "counter/orders/<str:number>/"

urlpatterns = [
    path("orders/<str:number>/hand-over/", counter.hand_over, name="hand-over"),
    path("counter/", counter.counter, name="counter"),
    path("counter/order/", supply.new, name="supply-new"),
    path("counter/orders/", supply.listing, name="supply-orders"),
    path(_ORDER, supply.order, name="supply-order"),
    path(f"{_ORDER}receive/", supply.receive, name="supply-receive"),
    path(f"{_ORDER}lines/<int:pk>/later/", supply_changes.later, name="supply-later"),
    path(f"{_ORDER}lines/<int:pk>/cancel/", supply_changes.cut, name="supply-cut"),
    path(f"{_ORDER}void/", supply_changes.void, name="supply-void"),
    path(f"{_ORDER}order.pdf", supply_papers.paper, name="supply-order-pdf"),
    path(f"{_ORDER}order.csv", supply_papers.table, name="supply-order-csv"),
    path("counter/suppliers/", suppliers.listing, name="suppliers"),
    path("counter/suppliers/new/", suppliers.new, name="supplier-new"),
    path("counter/suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("counter/back/", supply_returns.listing, name="supply-returns"),
    path("counter/back/new/", supply_returns.new, name="supply-return-new"),
    path("counter/back/<int:pk>/sent/", supply_returns.sent, name="supply-return-sent"),
    path("counter/back/<int:pk>/credited/", supply_returns.credited, name="supply-return-credited"),
    path("parts/receive/", counter.receive, name="part-receive"),
    path("parts/<int:pk>/", parts.part, name="part"),
    path("parts/<int:pk>/wait/", counter.wait, name="part-wait"),
    path("parts/<int:pk>/late/", parts.late, name="part-late"),
    path("parts/<int:pk>/wrong/", parts.wrong, name="part-wrong"),
    path("parts/<int:pk>/cancel/", parts.cancel, name="part-cancel"),
]
