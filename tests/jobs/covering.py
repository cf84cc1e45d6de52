"""Promises made by hand, and deciding by them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import uuid4

from django.utils import timezone

from diagnostics.models import CoverageTerm
from jobs.models import (
    Campaign,
    Complaint,
    CoverageDecision,
    Objection,
    RepairOrder,
    ServiceContract,
)
from jobs.queries.coverage import picture_of
from jobs.services import coverage, objections
from shop.actor import Actor


def bare_pages(order: RepairOrder) -> None:
    """Without the terms that the shipped pages have, so that a test has only its own."""
    CoverageTerm.objects.filter(version=order.session.version).delete()


def a_term(order: RepairOrder, key: str = "chassis", **more: object) -> CoverageTerm:
    """A term of the order's pages: 36 months or 60,000 km unless told otherwise."""
    values: dict[str, object] = {
        "kind": CoverageTerm.Kind.VEHICLE_WARRANTY,
        "name": "Chassis warranty",
        "months": 36,
        "distance_m": 60_000_000,
        "source": "Warranty booklet, page 4",
        "order": CoverageTerm.objects.filter(version=order.session.version).count() + 1,
    } | more
    version = order.session.version
    assert version is not None
    row: CoverageTerm = CoverageTerm.objects.create(version=version, key=key, **values)
    return row


def in_service(order: RepairOrder, day: date | None) -> None:
    vehicle = order.vehicle
    vehicle.in_service_on = day
    vehicle.save(update_fields=["in_service_on"])


def came_in(order: RepairOrder) -> date:
    day: date = timezone.localtime(order.taken_in_at).date()
    return day


def a_contract(order: RepairOrder, number: str = "K-1", **more: object) -> ServiceContract:
    values: dict[str, object] = {
        "provider": "Brannet Plan",
        "starts_on": date(2025, 1, 1),
        "starts_at_m": 0,
        "months": 60,
    } | more
    row: ServiceContract = ServiceContract.objects.create(
        workshop=order.workshop, vehicle=order.vehicle, number=number, **values
    )
    return row


def a_campaign(order: RepairOrder, reference: str = "R-7") -> Campaign:
    row: Campaign = Campaign.objects.create(
        workshop=order.workshop,
        vehicle=order.vehicle,
        reference=reference,
        title="Ground point to be sealed",
        announced_on=date(2025, 1, 1),
    )
    return row


def an_objection(
    actor: Actor, complaint: Complaint, reason: str = "damage", shown: str = ""
) -> Objection:
    return objections.object_to(
        actor,
        act=uuid4(),
        complaint=complaint,
        reason=reason,
        words="Rim bent at the same corner",
        shown=shown,
    )


def decided(
    actor: Actor,
    complaint: Complaint,
    payer: str = "",
    *,
    percent: str = "100",
    because: str = "Looked at by hand",
    seen: str = "",
) -> CoverageDecision:
    """By `payer`, who pays already unless told, for the facts as they are unless `seen` is told."""
    return coverage.decide_payer(
        actor,
        act=uuid4(),
        complaint=complaint,
        payer=payer or complaint.payer,
        percent=Decimal(percent),
        because=because,
        seen=seen or picture_of(complaint).seen,
    )
