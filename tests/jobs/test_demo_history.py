"""The demo's past: drawn from the laws of truth.yaml, written beside the told jobs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from random import Random

import pytest
from django.db import connection
from django.db.models import Model
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from diagnostics.models import Evidence, Reading, StoredFlag
from jobs.demo.data import read_world
from jobs.demo.history.draw import Drawer, Work
from jobs.demo.history.laws import Law, read_truth
from jobs.demo.world import FIXTURES
from jobs.models import (
    Comeback,
    EstimateLine,
    FittedUnit,
    Invoice,
    LabourLine,
    Payment,
    RepairOrder,
    Replacement,
    StageMove,
)
from jobs.services import rebuilt
from jobs.stages import Stage
from shop.models import LogEntry, User, Vehicle, Workshop
from tests.asserts import rows_planned_for
from tests.jobs.demo_made import NOW, ZONE, made, undone

SHARE = 0.2


@pytest.fixture(scope="module")
def written(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Millrace with a fifth of its past, made once for this file."""
    whole = read_world(FIXTURES / "demo")
    world = replace(whole, places=tuple(p for p in whole.places if p.slug == "millrace"))
    with undone(django_db_blocker):
        made(world, SHARE)
        yield


@pytest.fixture
def past(written: None, db: None) -> list[RepairOrder]:
    """The jobs of the history: of vehicles that no visit of the files speaks of."""
    told = {row.plate for row in read_world(FIXTURES / "demo").vehicles["millrace"]}
    rows = RepairOrder.objects.exclude(vehicle__plate__in=told).select_related("vehicle")
    return list(rows.order_by("serial"))


def test_it_is_as_large_as_the_laws_say_and_all_of_it_is_over(past: list[RepairOrder]) -> None:
    vehicles = Vehicle.objects.count() - len(read_world(FIXTURES / "demo").vehicles["millrace"])
    assert vehicles == round(330 * SHARE)
    assert len(past) > vehicles / 2
    assert {order.stage for order in past} == {Stage.RELEASED}
    for order in past:
        assert order.closed_at is not None
        assert order.taken_in_at < order.closed_at < NOW
        assert order.taken_in_at.astimezone(ZONE).weekday() < 5


@pytest.mark.parametrize("model", [RepairOrder, Vehicle, FittedUnit, Comeback])
def test_what_was_written_is_planned_for_before_it_is_asked(
    past: list[RepairOrder], model: type[Model]
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite plans without counting; this is about PostgreSQL")
    assert rows_planned_for(model) == model._default_manager.count()


def test_numbers_leave_no_gap_and_follow_time(past: list[RepairOrder]) -> None:
    orders = list(RepairOrder.objects.order_by("serial"))
    assert [one.serial for one in orders] == list(
        range(orders[-1].serial - len(orders) + 1, orders[-1].serial + 1)
    )
    assert orders[-1].number == "M1418"
    late = [one for one, after in pairwise(orders) if after.taken_in_at < one.taken_in_at]
    assert len(late) < len(orders) / 4  # a job that was told may lie a few numbers beside its time
    for rows in (Invoice.objects.all(), Payment.objects.all()):
        found = list(rows.order_by("serial").values_list("serial", flat=True))
        assert found == list(range(1001, 1001 + len(found)))


def test_what_is_kept_follows_from_the_jobs(past: list[RepairOrder]) -> None:
    (workshop,) = Workshop.objects.all()
    assert rebuilt.differences(workshop) == []


def test_each_job_has_what_a_told_one_has_and_names_nothing_of_its_pattern(
    past: list[RepairOrder],
) -> None:
    told = RepairOrder.objects.exclude(pk__in=[one.pk for one in past])
    plates = set(told.values_list("vehicle__plate", flat=True))
    numbers = set(told.values_list("number", flat=True))
    for order in past:
        assert order.session.lampchecks.exists()
        assert StageMove.objects.filter(order=order).count() >= 4
        words = " ".join(
            LogEntry.objects.filter(subject_kind="order", subject_id=order.pk).values_list(
                "words", flat=True
            )
        )
        assert order.vehicle.plate in words
        assert not any(plate in words for plate in plates)
        assert not any(f"{number} " in f"{words} " for number in numbers)
    assert Reading.objects.filter(session__order__in=past).exists()
    assert StoredFlag.objects.filter(read__session__order__in=past).exists()
    assert Evidence.objects.filter(conclusion__session__order__in=past).exists()


def test_rows_of_a_job_point_at_rows_of_the_same_job(past: list[RepairOrder]) -> None:
    for line in EstimateLine.objects.filter(estimate__order__in=past).select_related("estimate"):
        kind, _colon, key = line.row.partition(":")
        rows = Replacement.objects.all() if kind == "part" else LabourLine.objects.all()
        assert rows.get(pk=key).complaint.order_id == line.estimate.order_id
    for invoice in Invoice.objects.filter(order__in=past):
        assert invoice.plate == invoice.order.vehicle.plate
        assert invoice.owed == 0
    for row in Replacement.objects.filter(complaint__order__in=past):
        assert row.unit_off is not None
        assert row.unit_on is not None
        assert row.unit_on.vehicle_id == row.complaint.order.vehicle_id
        assert bool(row.unit_on.batch) is bool(row.unit_on.serial_number)
    assert FittedUnit.objects.exclude(batch="").filter(vehicle__orders__in=past).exists()


def test_its_pages_and_papers_open(past: list[RepairOrder]) -> None:
    web = Client()
    web.force_login(User.objects.get(username="pim"))
    order = next(one for one in past if Invoice.objects.filter(order=one).exists())
    slug = "millrace"
    page = web.get(reverse("order", args=[slug, order.number]))
    assert page.status_code == 200
    assert order.vehicle.plate in page.content.decode()
    for name in ("repair-order-pdf", "job-card"):
        assert web.get(reverse(name, args=[slug, order.number])).status_code == 200
    assert web.get(reverse("vehicle", args=[slug, order.vehicle_id])).status_code == 200


def test_returns_are_decided_but_for_the_youngest(past: list[RepairOrder]) -> None:
    rows = Comeback.objects.filter(complaint__order__in=past)
    for row in rows.select_related("complaint__order"):
        closed = row.complaint.order.closed_at
        assert closed is not None
        assert bool(row.cause) is ((NOW - closed).days >= 20) or (NOW - closed).days == 20


def test_first_seen_units_fail_and_are_followed_by_fitted_ones(past: list[RepairOrder]) -> None:
    fitted = FittedUnit.objects.filter(entry="fitted", vehicle__orders__in=past)
    assert fitted.exists()
    assert not fitted.filter(born_day=None).exists()


# ------------------------------------------------------------------ the laws


def test_the_same_seed_gives_the_same_past_and_another_another() -> None:
    truth = read_truth(FIXTURES / "demo")
    known = [Work("PL2", "rear_hub_harness", "LR"), Work("PL2", "not_found", "")]
    one, other = (Drawer(truth, "millrace", known).vehicles(30) for _ in range(2))
    assert one == other
    assert Drawer(truth, "quay-street", known).vehicles(30) != one


def test_a_law_gives_back_its_own_hazard() -> None:
    """The summed hazard at the age drawn from an exponential is that exponential, beyond an age."""
    law, rng = Law(scale=900, shape=2.2), Random(5)
    for _ in range(200):
        beyond, drawn = rng.uniform(0, 2000), rng.expovariate(1)
        age = law.age_after(drawn, beyond)
        assert age > beyond
        assert law.hazard_to(age) - law.hazard_to(beyond) == pytest.approx(drawn)
