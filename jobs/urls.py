"""The addresses of jobs, below the workshop's."""

from __future__ import annotations

from django.urls import include, path

from jobs.routes import clock as clock_routes
from jobs.views import (
    bay,
    complaints,
    desk,
    find,
    fitting,
    order,
    papers,
    proving,
    story,
    take_in,
    vehicle,
)

urlpatterns = [
    path("find/", find.find, name="find"),
    path("take-in/", take_in.take_in, name="take-in"),
    path("take-in/new/", take_in.new, name="take-in-new"),
    path("take-in/<int:pk>/", take_in.known, name="take-in-known"),
    path("take-in/<int:pk>/earlier/", take_in.earlier, name="take-in-earlier"),
    path("vehicles/<int:pk>/", vehicle.vehicle, name="vehicle"),
    path("vehicles/<int:pk>/check/", vehicle.check_begin, name="check-begin"),
    path("bay/", bay.bay, name="bay"),
    path("", include("jobs.routes.office")),
    path("", include("jobs.routes.failures")),
    path("", include("jobs.routes.comebacks")),
    path("", include("jobs.routes.monthly")),
    path("", include("jobs.routes.lives")),
    path("desk/", desk.desk, name="desk"),
    path("", include(clock_routes)),
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
    path("", include("jobs.routes.estimate")),
    path("orders/<str:number>/fitting/", fitting.fitting, name="fitting"),
    path("orders/<str:number>/fitting/cautions/", fitting.cautions, name="fitting-cautions"),
    path("orders/<str:number>/fitting/<int:pk>/", fitting.fit, name="fit"),
    path("orders/<str:number>/story/", story.story, name="story"),
    path("orders/<str:number>/job-card.pdf", papers.job_card, name="job-card"),
    path("orders/<str:number>/repair-order.pdf", papers.repair_order, name="repair-order-pdf"),
    path("", include("jobs.routes.supply")),
    path("", include("jobs.routes.bill")),
    path("", include("jobs.routes.shelf")),
    path("", include("jobs.routes.held")),
    path("", include("jobs.routes.terms")),
    path("", include("jobs.routes.accounts")),
    path("", include("jobs.routes.shelf_advice")),
    path("", include("jobs.routes.safety")),
    path("", include("jobs.routes.claim_money")),
    path("", include("jobs.routes.claim_papers")),
    path("", include("jobs.routes.claims")),
    path("", include("jobs.routes.photos")),
    path("", include("jobs.routes.coverage")),
    path("", include("jobs.routes.vehicle_cover")),
]
