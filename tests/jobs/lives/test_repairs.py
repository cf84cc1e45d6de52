"""Repairs as the acts keep them: whose, of what, handed over when, and when they came back."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from django.utils.timezone import localtime

from jobs.models import CauseClass, Comeback, Repair, RepairOrder
from jobs.services import release, repairs
from jobs.stages import Stage
from shop import clock
from shop.models import Vehicle
from tests.factories import a_repair_order, a_vehicle, an_odometer_reading
from tests.jobs.along import Crew, bring_to
from tests.jobs.lives.keeping import assert_kept_as_rebuilt
from tests.jobs.lives.test_kept import ago, day_of, fit_the_hub, hand_over, taken_in, whole_job


def repaired(crew: Crew, vehicle: Vehicle, days: int = 100) -> Repair:
    with clock.at(ago(days)):
        order = taken_in(crew, vehicle, 60_000)
        fit_the_hub(crew, order, serial_on="HS24-2", batch_on="BA24-3")
    with clock.at(ago(days - 1)):
        hand_over(crew, order)
    return Repair.objects.get(complaint__order=order)


def test_a_released_complaint_is_a_repair_with_its_unit_and_its_fitter(crew: Crew) -> None:
    row = repaired(crew, a_vehicle(crew.manager))
    assert row.component is not None
    assert (row.component.key, row.system) == ("hub_and_sensor", row.component.system)
    assert (row.technician, row.supplier, row.batch) == (crew.technician.user, "Ostrel", "BA24-3")
    assert (row.handed_day, row.handed_m) == (day_of(ago(99)), 60_000_000)
    assert (row.seen_day, row.back_day, row.no_fault_found) == (row.handed_day, None, False)
    assert_kept_as_rebuilt(row.workshop)


def test_a_later_sight_is_its_last_contact(crew: Crew) -> None:
    row = repaired(crew, a_vehicle(crew.manager))
    an_odometer_reading(crew.manager, vehicle=row.vehicle, value="61000")
    row.refresh_from_db()
    assert (row.seen_day, row.back_day) == (day_of(ago(0)), None)
    assert_kept_as_rebuilt(row.workshop)


def test_what_was_declined_and_left_unrepaired_is_none(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DECLINED, order, crew)
    release.leave_unrepaired(
        crew.manager, order, act=uuid4(), revision=order.revision, reason="Too dear"
    )
    assert RepairOrder.objects.get().stage == Stage.RELEASED
    assert not Repair.objects.exists()
    assert_kept_as_rebuilt(order.workshop)


def test_a_return_that_is_not_decided_counts_and_one_that_is_not_ours_does_not(crew: Crew) -> None:
    row = repaired(crew, a_vehicle(crew.manager))
    with clock.at(ago(40)):
        back = taken_in(crew, row.vehicle, 60_500)
        complaint = back.complaints.get()
        comeback, _made = Comeback.objects.update_or_create(
            complaint=complaint,
            defaults={
                "workshop": row.workshop,
                "repair": row,
                "because": Comeback.Because.BY_HAND,
                "days": 59,
                "proposed_at": clock.now(),
            },
        )
    repairs.refresh(row.vehicle)
    row.refresh_from_db()
    assert row.back_day == day_of(ago(40))
    assert_kept_as_rebuilt(row.workshop)
    for cause, counts in ((CauseClass.NOT_OURS, False), (CauseClass.WORKMANSHIP, True)):
        Comeback.objects.filter(pk=comeback.pk).update(cause=cause, decided_at=clock.now())
        repairs.refresh(row.vehicle)
        row.refresh_from_db()
        assert (row.back_day is not None) is counts


def test_two_repairs_of_one_vehicle_each_have_their_own_clock(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    first = repaired(crew, vehicle, days=300)
    with clock.at(clock.now() - timedelta(days=10)):
        whole_job(crew, vehicle, 70_000, serial_off="HS24-2", serial_on="HS24-9")
    later = Repair.objects.exclude(pk=first.pk).get()
    first.refresh_from_db()
    assert first.seen_day == later.handed_day == localtime(ago(10)).date().toordinal()
    assert (first.handed_m, later.handed_m) == (60_000_000, 70_000_000)
    assert_kept_as_rebuilt(vehicle.workshop)
