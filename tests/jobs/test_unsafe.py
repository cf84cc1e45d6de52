"""Not to be driven: raised by the lamps or by hand, lifted only by the manager."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse

from diagnostics.services import lamps
from jobs.services import proving, unsafe
from jobs.stages import Move, Stage
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order, a_session
from tests.jobs.along import RED_AND_AMBER, Crew, bring_to, drive, go, look_at_lamps


def test_red_and_amber_at_taking_in_mark_the_job_and_say_why(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    order.refresh_from_db()
    assert order.unsafe
    page = client_of(crew.technician).get(reverse("order", args=["quay-street", order.number]))
    assert "Not to be driven" in text_of(page)
    assert order.unsafe_marks.get().because in text_of(page)


def test_the_same_lamps_seen_twice_mark_once(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    look_at_lamps(crew.technician, order, seen=RED_AND_AMBER)
    assert order.unsafe_marks.count() == 1


def test_it_refuses_to_let_a_technician_lift_the_mark_and_lets_the_manager(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    with refused(says="Only the service manager lifts"):
        unsafe.lift(crew.technician, order, act=uuid4(), reason="Looks fine")
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Pads replaced, brakes tested")
    order.refresh_from_db()
    assert not order.unsafe
    mark = order.unsafe_marks.get()
    assert mark.lifted_by == crew.manager.user
    assert mark.lifted_because == "Pads replaced, brakes tested"


def test_it_refuses_to_lift_the_mark_without_a_reason_and_takes_one(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    with refused(field="reason", says="prints"):
        unsafe.lift(crew.manager, order, act=uuid4(), reason="   ")
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Bulb holder shorted, repaired")


def test_it_refuses_to_mark_by_hand_without_saying_why_and_takes_the_reason(crew: Crew) -> None:
    order = a_repair_order(crew.manager)
    with refused(field="because", says="why"):
        unsafe.mark(crew.technician, order, act=uuid4(), because="")
    unsafe.mark(crew.technician, order, act=uuid4(), because="Hose chafed to the cord")
    order.refresh_from_db()
    assert order.unsafe


def test_it_refuses_to_lift_what_somebody_has_lifted_and_lifts_a_new_mark(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Checked")
    with refused(says="somebody has lifted it"):
        unsafe.lift(crew.manager, order, act=uuid4(), reason="Checked again")
    unsafe.mark(crew.technician, order, act=uuid4(), because="Ball joint play")
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Joint replaced")


def test_it_refuses_a_road_test_of_a_marked_vehicle_until_the_mark_is_lifted(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.PROVING, order, crew)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Soft pedal")
    with refused(says="marked not to be driven"):
        drive(crew.technician, order)
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Bled")
    drive(crew.technician, order)
    assert order.road_tests.count() == 1
    assert order.road_tests.get().distance_m < proving.LONGEST_M


def test_a_technician_who_opens_the_lifting_page_is_told_whose_it_is(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    address = reverse("unsafe-lift", args=["quay-street", order.number])
    refusal = client_of(crew.technician).post(address, {"act": uuid4(), "reason": "Fine"})
    assert refusal.status_code == 403
    assert "Only the service manager lifts" in text_of(refusal)
    done = client_of(crew.manager).post(address, {"act": uuid4(), "reason": "Bulb repaired"})
    assert done.status_code == 303


def test_red_seen_in_a_quick_check_marks_the_job_on_which_the_vehicle_is_here(crew: Crew) -> None:
    order = a_repair_order(crew.manager)
    check = a_session(crew.technician, vehicle=order.vehicle)
    lamps.record(crew.technician, check, act=uuid4(), observations=RED_AND_AMBER)
    order.refresh_from_db()
    assert order.unsafe
    assert order.unsafe_marks.get().raised_by == crew.technician.user


def test_a_mark_stands_on_every_open_job_of_the_vehicle_and_on_no_other(crew: Crew) -> None:
    order = a_repair_order(crew.manager)
    second = a_repair_order(crew.manager, vehicle=order.vehicle)
    stranger = a_repair_order(crew.manager)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Hose chafed to the cord")
    third = a_repair_order(crew.manager, vehicle=order.vehicle)
    for one in (second, third):
        one.refresh_from_db()
        assert one.unsafe
        assert one.unsafe_marks.get().because == "Hose chafed to the cord"
    stranger.refresh_from_db()
    assert not stranger.unsafe


def test_a_mark_that_was_lifted_is_not_taken_over_by_the_next_job(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Pads replaced, brakes tested")
    assert not a_repair_order(crew.manager, vehicle=order.vehicle).unsafe


def test_it_refuses_to_void_a_marked_job_until_the_mark_is_lifted(crew: Crew) -> None:
    order = a_repair_order(crew.manager, lamps=RED_AND_AMBER)
    order.refresh_from_db()
    with refused(says="not to be driven"):
        go(crew.manager, order, Move.VOID, reason="Opened twice")
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Stands on the other order of this car")
    order.refresh_from_db()
    go(crew.manager, order, Move.VOID, reason="Opened twice")
    assert Stage(order.stage) is Stage.VOID
