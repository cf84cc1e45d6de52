"""Taking a vehicle in: one act, one order, one number."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from diagnostics.models import LampCheck, Session
from diagnostics.telltales import Lamp, Observation, Shown, Situation
from jobs.models import Complaint, NumberSeries, RepairOrder
from jobs.queries.earlier import earlier_complaints, on_system
from jobs.services.moves import move
from jobs.services.taking_in import ComplaintInput, NewVehicle, take_in
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import Bay, Customer, LogEntry, OdometerReading, Vehicle
from shop.services.customers import CustomerInput
from shop.services.odometer import OdometerInput
from shop.services.vehicles import VehicleInput
from tests.asserts import refused
from tests.factories import a_complaint_line, a_repair_order, a_vehicle, a_vin, the_pages

AMBER_STEADY = Observation(Lamp.AMBER_ANTILOCK, Situation.ENGINE_RUNNING, Shown.STEADY)
RED_STEADY = Observation(Lamp.RED_BRAKE, Situation.ENGINE_RUNNING, Shown.STEADY)


def take(
    actor: Actor, vehicle: Vehicle | NewVehicle, *, act: UUID | None = None, **said: Any
) -> RepairOrder:
    usual: dict[str, Any] = {
        "odometer": OdometerInput("84120", "km"),
        "complaints": [ComplaintInput("Yellow light came on")],
    }
    return take_in(actor, act=act or uuid4(), vehicle=vehicle, **(usual | said))


def test_it_opens_an_order_with_everything_that_was_said(bela: Actor, ines: Actor) -> None:
    vehicle = a_vehicle(bela)
    bay = Bay.objects.of(bela).first()
    promised = clock.now() + timedelta(hours=5)
    order = take(
        bela,
        vehicle,
        complaints=[
            a_complaint_line(words="Yellow light came on", system="brake_control"),
            ComplaintInput("  "),
            a_complaint_line(words="Steering heavy", payer="goodwill"),
        ],
        promised_at=promised,
        technician=ines.user,
        bay=bay,
    )
    assert (order.number, order.stage) == ("Q1001", Stage.RECEIVED)
    assert (order.technician, order.bay, order.promised_at) == (ines.user, bay, promised)
    assert order.customer == vehicle.customer
    lines = order.complaints.order_by("line")
    assert [(row.line, row.words, row.payer) for row in lines] == [
        (1, "Yellow light came on", "customer"),
        (2, "Steering heavy", "goodwill"),
    ]
    assert order.odometer_in.seen == OdometerReading.Seen.TAKE_IN
    assert order.session.version == the_pages("PL2")
    assert LogEntry.objects.filter(
        subject_kind="order", subject_id=order.pk, kind="taken_in"
    ).exists()


def test_a_vehicle_the_catalogue_does_not_know_gets_the_general_pages(bela: Actor) -> None:
    general = the_pages("GEN")
    assert take(bela, a_vehicle(bela, platform=None)).session.version == general


def test_lamps_that_were_looked_at_are_recorded_and_red_marks_the_job_unsafe(
    bela: Actor,
) -> None:
    calm = take(bela, a_vehicle(bela), lamps=[AMBER_STEADY])
    assert not calm.unsafe
    grave = take(bela, a_vehicle(bela), lamps=[AMBER_STEADY, RED_STEADY])
    assert grave.unsafe
    assert grave.unsafe_marks.get().because
    assert LampCheck.objects.count() == 2
    assert RepairOrder.objects.get(pk=grave.pk).revision == grave.revision


def test_a_job_without_a_look_at_the_lamps_has_no_look(bela: Actor) -> None:
    take(bela, a_vehicle(bela))
    assert not LampCheck.objects.exists()


def test_a_new_vehicle_and_its_customer_come_in_by_the_same_act(bela: Actor) -> None:
    new = NewVehicle(VehicleInput(vin=a_vin(), plate="9SA 4407"), CustomerInput("Jon F.", "555 01"))
    order = take(bela, new)
    assert (order.vehicle.plate, order.customer.name) == ("9SA 4407", "Jon F.")


def test_what_is_refused_leaves_nothing_behind_and_uses_no_number(bela: Actor) -> None:
    new = NewVehicle(VehicleInput(vin=a_vin()), CustomerInput("Jon F.", "555 01"))
    with refused(field="complaints", says="at least one complaint"):
        take(bela, new, complaints=[ComplaintInput(" ")])
    with refused(field="odometer"):
        take(bela, new, odometer=OdometerInput("", "km"))
    left = (Customer, Vehicle, OdometerReading, Session, RepairOrder, NumberSeries)
    assert not any(model.objects.exists() for model in left)
    assert take(bela, new).number == "Q1001"


def test_a_strange_odometer_is_asked_about_and_taken_with_its_reason(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    move(
        bela,
        first := take(bela, vehicle),
        Move.VOID,
        act=uuid4(),
        revision=first.revision,
        reason="Wrong car",
    )
    with refused(field="odometer_reason", says="less than"):
        take(bela, vehicle, odometer=OdometerInput("12", "km"))
    order = take(bela, vehicle, odometer=OdometerInput("12", "km", "Instrument replaced"))
    assert order.odometer_in.lower_than_before


def test_sent_twice_a_vehicle_is_taken_in_once(bela: Actor) -> None:
    vehicle, act = a_vehicle(bela), uuid4()
    take(bela, vehicle, act=act)
    with pytest.raises(AlreadyDone):
        take(bela, vehicle, act=act)
    assert RepairOrder.objects.count() == 1


def test_a_vehicle_that_is_here_already_is_asked_about_and_taken_when_meant(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    first = take(bela, vehicle)
    with refused(field="although_open", says=first.number):
        take(bela, vehicle)
    assert take(bela, vehicle, although_open=True).number == "Q1002"


def test_numbers_follow_one_another_in_each_workshop_alone(bela: Actor, pim: Actor) -> None:
    here = [a_repair_order(bela).number for _ in range(3)]
    there = a_repair_order(pim).number
    assert (here, there) == (["Q1001", "Q1002", "Q1003"], "M1001")


def test_it_refuses_the_parts_counter_and_lets_a_technician(
    bela: Actor, nuri: Actor, ines: Actor
) -> None:
    vehicle = a_vehicle(bela)
    with refused(says="takes a vehicle in"):
        take(nuri, vehicle)
    assert take(ines, vehicle).taken_in_by == ines.user


def test_only_the_manager_says_who_works_on_it(bela: Actor, ines: Actor) -> None:
    vehicle = a_vehicle(bela)
    with refused(says="only the service manager"):
        take(ines, vehicle, technician=ines.user)
    assert take(bela, vehicle, technician=ines.user).technician == ines.user


def test_it_refuses_a_technician_or_bay_of_elsewhere_and_takes_its_own(
    bela: Actor, pim: Actor, ines: Actor
) -> None:
    vehicle = a_vehicle(bela)
    strange = Bay.objects.create(workshop=pim.workshop, name="Bay 9")
    with refused(field="technician"):
        take(bela, vehicle, technician=pim.user)
    with refused(field="bay"):
        take(bela, vehicle, bay=strange)
    assert take(bela, vehicle, technician=ines.user, bay=Bay.objects.of(bela).first()).pk


def test_it_refuses_a_promise_in_the_past_and_takes_a_later_one(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    with refused(field="promised_at", says="passed"):
        take(bela, vehicle, promised_at=clock.now() - timedelta(minutes=1))
    assert take(bela, vehicle, promised_at=clock.now() + timedelta(hours=1)).pk


def test_it_refuses_a_vehicle_of_another_workshop_and_takes_its_own(
    bela: Actor, pim: Actor
) -> None:
    with refused(field="vehicle", says="another workshop"):
        take(bela, a_vehicle(pim))
    assert take(bela, a_vehicle(bela)).pk


def test_earlier_complaints_tell_a_possible_comeback_only_within_the_window(
    bela: Actor,
) -> None:
    vehicle = a_vehicle(bela)
    now = clock.now()
    for days in (400, 30):
        order = a_repair_order(
            bela,
            vehicle=vehicle,
            odometer="60000",
            complaints=[a_complaint_line(words=f"{days} days ago", system="brake_control")],
        )
        left = now - timedelta(days=days)
        RepairOrder.objects.filter(pk=order.pk).update(
            stage=Stage.RELEASED, closed_at=left, taken_in_at=left
        )
    other = a_repair_order(
        bela,
        vehicle=vehicle,
        odometer="60000",
        complaints=[a_complaint_line(words="Heavy", system="power_steering")],
    )
    every = earlier_complaints(bela, vehicle, few=10)
    assert [one.words for one in every] == ["Heavy", "30 days ago", "400 days ago"]
    assert [one.may_be_comeback for one in every] == [False, True, False]
    assert every[0].is_open
    Complaint.objects.filter(words="30 days ago").update(decision=Complaint.Decision.DECLINED)
    again = earlier_complaints(bela, vehicle, few=10)
    assert not any(one.may_be_comeback for one in again)  # what was declined is no repair
    brakes = str(every[1].system_id)
    assert [one.days for one in on_system(every, brakes)] == [30, 400]
    assert on_system(every, "") == ()
    move(bela, other, Move.VOID, act=uuid4(), revision=other.revision, reason="Opened twice")
    assert len(earlier_complaints(bela, vehicle, few=10)) == 2
