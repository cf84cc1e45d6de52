"""A vehicle leaves when the repair is proved, or by the manager's printed word."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.telltales import Lamp, Observation, Shown, Situation
from jobs.models import RepairOrder
from jobs.services import release, unsafe
from jobs.stages import Move, Stage
from shop.errors import AlreadyDone, Clash
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import (
    PROOFS,
    RED_AND_AMBER,
    Crew,
    bring_to,
    drive,
    go,
    look_at_lamps,
    prove,
    read_flags,
)

_AMBER = (
    Observation(Lamp.AMBER_ANTILOCK, Situation.KEY_ON, Shown.STEADY),
    Observation(Lamp.AMBER_ANTILOCK, Situation.ENGINE_RUNNING, Shown.STEADY),
)
MISSING = {
    "clearing": "have not been cleared since the repair",
    "road test": "No road test since the flags were cleared",
    "lamps": "The lamps have not been looked at since the road test",
    "flags": "Flags have not been read in brake control since the road test",
    "reading": "has not been taken again after the repair",
    "correction": "Complaint 1 has no correction",
}


def proving(crew: Crew) -> RepairOrder:
    order = a_repair_order(crew.manager, technician=crew.technician)
    return bring_to(Stage.PROVING, order, crew)


@pytest.mark.parametrize("left_out", PROOFS)
def test_it_refuses_to_release_and_names_what_is_missing_then_releases(
    crew: Crew, left_out: str
) -> None:
    order = proving(crew)
    prove(crew, order, but_for=[left_out])
    with refused(says=MISSING[left_out]):
        release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    with refused(says=MISSING[left_out]):
        go(crew.technician, order, Move.PROVED)
    prove(crew, order)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    assert Stage(order.stage) is Stage.RELEASED
    assert order.closed_by == crew.manager.user
    assert order.override_reason == ""


def test_flags_that_came_back_on_the_road_test_are_named_and_block_the_release(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order, but_for=["flags"])
    read_flags(crew.technician, order, "C0045", "C0040")
    with refused(says="C0045 and C0040 are still there in brake control"):
        release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    read_flags(crew.technician, order)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)


def test_a_road_test_below_the_self_test_speed_is_kept_but_does_not_count(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order, but_for=["road test", "flags"])
    drive(crew.technician, order, speed="4")
    test = order.road_tests.get()
    assert not test.long_enough
    assert "does not pass the 5" in test.reason
    with refused(says="does not count"):
        release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    drive(crew.technician, order, speed="60")
    with refused(says="lamps have not been looked at since the road test"):
        release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    look_at_lamps(crew.technician, order)
    read_flags(crew.technician, order)
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)


def test_what_was_proved_before_the_job_went_back_to_diagnosis_proves_nothing(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    go(crew.technician, order, Move.NOT_CURED, reason="The lamp came on again on the way home")
    with refused(says="conclude the complaint anew"):
        go(crew.technician, order, Move.NOTHING_TO_REPAIR)
    from_before = order.complaints.get()
    assert from_before.decision == "undecided"


def test_the_manager_releases_without_full_proof_and_the_reason_and_what_was_missing_print(
    crew: Crew,
) -> None:
    order = proving(crew)
    prove(crew, order, but_for=["road test", "flags"])
    with refused(says="Only the service manager releases"):
        release.release(
            crew.technician, order, act=uuid4(), revision=order.revision, override="Late"
        )
    reason = "Towed to the customer's own yard; drives there tomorrow"
    release.release(crew.manager, order, act=uuid4(), revision=order.revision, override=reason)
    assert Stage(order.stage) is Stage.RELEASED
    assert order.override_reason == reason
    assert "No road test since" in order.override_missing


def test_an_override_that_overrides_nothing_leaves_no_mark(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    release.release(
        crew.manager, order, act=uuid4(), revision=order.revision, override="Just in case"
    )
    assert (order.override_reason, order.override_missing) == ("", "")


def test_no_override_goes_past_the_not_to_be_driven_mark(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Pedal sinks while held")
    with refused(says="marked not to be driven"):
        release.release(
            crew.manager, order, act=uuid4(), revision=order.revision, override="Customer insists"
        )
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Bled again; pedal holds for a minute")
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    assert Stage(order.stage) is Stage.RELEASED


def test_a_mark_raised_while_the_manager_looks_at_the_page_stops_the_release(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    seen = order.revision
    as_the_manager_saw_it = RepairOrder.objects.get(pk=order.pk)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Fluid at the left rear wheel")
    with pytest.raises(Clash):
        release.release(crew.manager, as_the_manager_saw_it, act=uuid4(), revision=seen)
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.PROVING
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Was washer water")
    release.release(crew.manager, order, act=uuid4(), revision=order.revision)


def test_sending_a_release_twice_releases_once(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    act, seen = uuid4(), order.revision
    release.release(crew.manager, order, act=act, revision=seen)
    with pytest.raises(AlreadyDone):
        release.release(crew.manager, order, act=act, revision=seen)
    assert order.moves.filter(move=Move.RELEASE).count() == 1


def test_a_declined_job_leaves_unrepaired_only_with_what_the_customer_was_told(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DECLINED, order, crew)
    with refused(says="in a few words"):
        release.leave_unrepaired(
            crew.manager, order, act=uuid4(), revision=order.revision, reason=" "
        )
    told = "Told that the anti-lock function is off; base brakes work"
    release.leave_unrepaired(crew.manager, order, act=uuid4(), revision=order.revision, reason=told)
    assert Stage(order.stage) is Stage.RELEASED
    assert order.moves.order_by("-pk")[0].reason == told
    address = reverse("order", args=["quay-street", order.number])
    page = text_of(client_of(crew.technician).get(address))
    assert "Left unrepaired" in page
    assert told in page


def test_a_marked_and_declined_vehicle_is_carried_away_and_comes_back_with_its_mark(
    crew: Crew,
) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician, lamps=RED_AND_AMBER)
    bring_to(Stage.DECLINED, order, crew)
    told = "Carried home by Saltpan Recovery; told not to drive it"
    release.leave_unrepaired(crew.manager, order, act=uuid4(), revision=order.revision, reason=told)
    assert Stage(order.stage) is Stage.RELEASED
    assert order.unsafe_marks.get().lifted_at is None
    back = a_repair_order(crew.manager, vehicle=order.vehicle, odometer="84121")
    back.refresh_from_db()
    assert back.unsafe
    unsafe.lift(crew.manager, back, act=uuid4(), reason="Repaired elsewhere, brakes tested here")
    back.refresh_from_db()
    go(crew.manager, back, Move.VOID, reason="Only looked at")


def test_the_lamps_as_last_seen_decide(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    look_at_lamps(crew.technician, order, seen=_AMBER)
    with refused(says="The lamps were not normal when last looked at"):
        go(crew.technician, order, Move.PROVED)
    look_at_lamps(crew.technician, order)
    go(crew.technician, order, Move.PROVED)


def test_a_lamp_that_comes_back_on_a_ready_vehicle_leads_back_to_diagnosis(crew: Crew) -> None:
    order = proving(crew)
    prove(crew, order)
    go(crew.technician, order, Move.PROVED)
    look_at_lamps(crew.technician, order, seen=_AMBER)
    with refused(says="not normal when last looked at"):
        release.release(crew.manager, order, act=uuid4(), revision=order.revision)
    go(crew.technician, order, Move.NOT_CURED, reason="The amber lamp is on again")
    assert Stage(order.stage) is Stage.DIAGNOSING
