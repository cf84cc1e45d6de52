"""The addresses of jobs, below the workshop's."""

from __future__ import annotations

from django.urls import path

from jobs.views import complaints, desk, order, papers, proving, story

urlpatterns = [
    path("desk/", desk.desk, name="desk"),
    path("orders/", order.orders, name="orders"),
    path("orders/<str:number>/", order.order, name="order"),
    path("orders/<str:number>/move/", order.move, name="order-move"),
    path("orders/<str:number>/assign/", order.assign, name="order-assign"),
    path("orders/<str:number>/unsafe/", order.unsafe_raise, name="unsafe-raise"),
    path("orders/<str:number>/unsafe/lift/", order.unsafe_lift, name="unsafe-lift"),
    path("orders/<str:number>/complaints/", order.complaint_add, name="complaint-add"),
    path(
        "orders/<str:number>/complaints/<int:line>/conclude/", complaints.conclude, name="conclude"
    ),
    path(
        "orders/<str:number>/complaints/<int:line>/correction/",
        complaints.correction,
        name="correction",
    ),
    path("orders/<str:number>/proving/", proving.proving, name="proving"),
    path("orders/<str:number>/proving/road-test/", proving.road_test, name="road-test"),
    path("orders/<str:number>/release/", proving.release, name="release"),
    path(
        "orders/<str:number>/leave-unrepaired/", proving.leave_unrepaired, name="leave-unrepaired"
    ),
    path("orders/<str:number>/story/", story.story, name="story"),
    path("orders/<str:number>/job-card.pdf", papers.job_card, name="job-card"),
    path("orders/<str:number>/repair-order.pdf", papers.repair_order, name="repair-order-pdf"),
]
