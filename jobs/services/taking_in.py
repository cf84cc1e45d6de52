"""Taking a vehicle in: one act opens the repair order with all that was said and seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from diagnostics.models import ChassisSystem
from diagnostics.services import lamps as lamp_service
from diagnostics.services import sessions
from diagnostics.telltales import Observation
from jobs.models import Complaint, Payer, RepairOrder
from jobs.services import comebacks, gone, unsafe
from jobs.services.numbers import next_number
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Bay, Customer, OdometerReading, User, Vehicle
from shop.queries.people import bays_of, technicians_of
from shop.roles import Permit
from shop.services import acts, log, odometer, vehicles
from shop.services.customers import CustomerInput
from shop.services.rights import must
from shop.services.vehicles import VehicleInput

OdometerInput = odometer.OdometerInput


@dataclass(frozen=True, slots=True)
class ComplaintInput:
    """One line in the customer's words."""

    words: str
    system: ChassisSystem | None = None
    payer: str = Payer.CUSTOMER


@dataclass(frozen=True, slots=True)
class Plan:
    """For when it is promised, who works on it and where; all may be left open."""

    promised_at: datetime | None = None
    technician: User | None = None
    bay: Bay | None = None


@dataclass(frozen=True, slots=True)
class NewVehicle:
    """A vehicle that is not known yet, of a known customer or a new one."""

    details: VehicleInput
    customer: Customer | CustomerInput


@transaction.atomic
def take_in(
    actor: Actor,
    *,
    act: UUID,
    vehicle: Vehicle | NewVehicle,
    odometer: OdometerInput,
    complaints: Sequence[ComplaintInput],
    lamps: Sequence[Observation] = (),
    promised_at: datetime | None = None,
    bay: Bay | None = None,
    technician: User | None = None,
    although_open: bool = False,
) -> RepairOrder:
    """Open a repair order. `although_open`: a second one beside an open one is meant.

    Raises Refusal beside the field that is wrong or questioned; then nothing is kept, and no
    number is used up. An unsafe finding of the lamps marks the order at once.
    """
    acts.claim(actor, act, "take in")
    must(actor, Permit.TAKE_IN)
    lines = _lines(complaints)
    plan = Plan(promised_at, technician, bay)
    _check_plan(actor, plan)
    if isinstance(vehicle, NewVehicle):
        vehicle = vehicles.add_vehicle(
            actor, act=None, details=vehicle.details, customer=vehicle.customer
        )
    _check_vehicle(actor, vehicle, although_open=although_open)
    gone.undo_when_here(actor, vehicle)
    distance = _note(actor, vehicle, odometer)
    order = _open(actor, vehicle, distance, plan)
    _write_down(actor, order, lines)
    comebacks.propose(vehicle)
    unsafe.carry_over(actor, order)
    if lamps:
        lamp_service.record(actor, order.session, act=None, observations=lamps)
        order.refresh_from_db(fields=["unsafe", "revision"])
    return order


def _open(actor: Actor, vehicle: Vehicle, distance: OdometerReading, plan: Plan) -> RepairOrder:
    now = clock.now()
    session = sessions.open_session(actor, vehicle=vehicle)
    serial = next_number(actor.workshop)
    order: RepairOrder = RepairOrder.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=f"{actor.workshop.order_prefix}{serial}",
        vehicle=vehicle,
        customer=vehicle.customer,
        session=session,
        odometer_in=distance,
        stage=Stage.RECEIVED,
        stage_since=now,
        promised_at=plan.promised_at,
        bay=plan.bay,
        technician=plan.technician,
        taken_in_at=now,
        taken_in_by=actor.user,
    )
    return order


def _write_down(actor: Actor, order: RepairOrder, lines: Sequence[ComplaintInput]) -> None:
    Complaint.objects.bulk_create(
        Complaint(
            order=order,
            line=number,
            words=line.words.strip(),
            system=line.system,
            payer=line.payer,
        )
        for number, line in enumerate(lines, start=1)
    )
    said = "; ".join(line.words.strip().rstrip(".") for line in lines)
    log.write(
        actor,
        kind="taken_in",
        subject_kind="order",
        subject_id=order.pk,
        words=f"took in {order.vehicle} at {order.odometer_in}: {said}",
        at=order.taken_in_at,
    )


def _note(actor: Actor, vehicle: Vehicle, seen: OdometerInput) -> OdometerReading:
    return odometer.note(actor, vehicle, seen, seen_at=OdometerReading.Seen.TAKE_IN)


def _lines(complaints: Sequence[ComplaintInput]) -> list[ComplaintInput]:
    lines = [line for line in complaints if line.words.strip()]
    if not lines:
        raise Refusal("Write at least one complaint in the customer’s words.", field="complaints")
    return lines


def _check_vehicle(actor: Actor, vehicle: Vehicle, *, although_open: bool) -> None:
    if vehicle.workshop_id != actor.workshop.pk:
        raise Refusal("This vehicle belongs to another workshop.", field="vehicle")
    here = vehicle.orders.filter(closed_at__isnull=True).first()
    if here and not although_open:
        raise Refusal(
            f"{vehicle} is here already on {here.number}, {Stage(here.stage).words}. Add the "
            "complaint to that order, or tick that a second one is meant.",
            field="although_open",
        )


def _check_plan(actor: Actor, plan: Plan) -> None:
    if plan.promised_at and plan.promised_at < clock.now():
        raise Refusal("This time has passed. Promise a later one.", field="promised_at")
    if plan.technician or plan.bay:
        must(actor, Permit.ASSIGN)
    if plan.technician and not technicians_of(actor).filter(pk=plan.technician.pk).exists():
        raise Refusal(
            f"{plan.technician} is not a technician of this workshop. Choose one from the list.",
            field="technician",
        )
    if plan.bay and not bays_of(actor).filter(pk=plan.bay.pk, in_use=True).exists():
        raise Refusal(f"{plan.bay} is not in use here. Choose a bay from the list.", field="bay")
