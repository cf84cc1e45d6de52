"""Vehicles: adding one and keeping what is known of it right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Customer, Platform, Vehicle
from shop.ports import follower
from shop.roles import Permit
from shop.search_keys import plate_key
from shop.services import acts, customers, log
from shop.services.customers import CustomerInput
from shop.services.rights import must
from shop.tyres import TyreError, TyreSize, parse_tyre
from shop.vehicle_questions import ask_about_first_distance, ask_about_service_date
from shop.vin import check_vin

EARLIEST_YEAR = 1900
LONGEST_PLATE = 16
_WORDS = {
    "vin": "VIN",
    "plate": "plate",
    "platform": "platform",
    "model_year": "model year",
    "tyre_size": "tyre size",
    "in_service_on": "in service since",
}
# What its units are, and how old.
_FOLLOWED = ("platform", "in_service_on")


@dataclass(frozen=True, slots=True)
class VehicleInput:
    """As typed. `vin_overrule_reason` says why a wrong check digit is right after all;
    `in_service_sure` answers the question that a strange in-service date raises."""

    vin: str
    vin_overrule_reason: str = ""
    plate: str = ""
    platform: Platform | None = None
    model_year: int | None = None
    tyre_size: str = ""
    in_service_on: date | None = None
    in_service_sure: bool = False


@transaction.atomic
def add_vehicle(
    actor: Actor, *, act: UUID | None, details: VehicleInput, customer: Customer | CustomerInput
) -> Vehicle:
    """A new vehicle of a known customer or a new one.

    `act` is None inside another act, which has claimed its UUID already. Raises Refusal beside
    the field that is wrong, or that asks to be confirmed.
    """
    if act is not None:
        acts.claim(actor, act, "add vehicle")
    must(actor, Permit.EDIT_VEHICLE)
    fields = _checked(details)
    owner = _owner(actor, customer)
    try:
        with transaction.atomic():
            vehicle: Vehicle = Vehicle.objects.create(
                workshop=actor.workshop, customer=owner, **fields
            )
    except IntegrityError as error:
        raise _known_already(actor, str(fields["vin"])) from error
    _log(actor, vehicle, f"added the vehicle {vehicle}, owner {owner}")
    return vehicle


@transaction.atomic
def change_vehicle(
    actor: Actor, vehicle: Vehicle, *, act: UUID, revision: int, details: VehicleInput
) -> Vehicle:
    """New details. `revision` is the one the person saw.

    Raises Clash when somebody changed the vehicle since, Refusal as `add_vehicle`.
    """
    acts.claim(actor, act, "change vehicle", about=vehicle)
    must(actor, Permit.EDIT_VEHICLE)
    fields = _checked(details)
    _check_first_distance(vehicle, details)
    changed = _changed(vehicle, fields)
    another = any(getattr(vehicle, name) != fields[name] for name in _FOLLOWED)
    _write(actor, vehicle, revision, fields)
    if another:
        follower().follow(vehicle)
    if changed:
        _log(actor, vehicle, f"changed {vehicle}: {', '.join(changed)}")
    return vehicle


@transaction.atomic
def change_owner(
    actor: Actor,
    vehicle: Vehicle,
    *,
    act: UUID,
    revision: int,
    customer: Customer | CustomerInput,
) -> Vehicle:
    """The vehicle was sold; orders keep the customer who brought it then. Raises as above."""
    acts.claim(actor, act, "change owner", about=vehicle)
    must(actor, Permit.EDIT_VEHICLE)
    before = vehicle.customer
    owner = _owner(actor, customer)
    _write(actor, vehicle, revision, {"customer": owner})
    if owner != before:
        _log(actor, vehicle, f"changed the owner of {vehicle} from {before} to {owner}")
    return vehicle


def _write(actor: Actor, vehicle: Vehicle, revision: int, fields: dict[str, object]) -> None:
    rows = Vehicle.objects.of(actor).filter(pk=vehicle.pk, revision=revision)
    try:
        with transaction.atomic():
            kept = rows.update(revision=F("revision") + 1, **fields)
    except IntegrityError as error:
        raise _known_already(actor, str(fields["vin"])) from error
    if not kept:
        raise Clash(
            "Somebody changed this vehicle meanwhile. What you typed is still here: "
            "compare it with what stands now, then keep it."
        )
    vehicle.refresh_from_db()


def read_tyre(typed: str) -> TyreSize | None:
    """The size that was typed; None for nothing. Raises Refusal beside the field."""
    if not typed.strip():
        return None
    try:
        return parse_tyre(typed)
    except TyreError as error:
        raise Refusal(error.sentence, field="tyre_size") from error


def _checked(details: VehicleInput) -> dict[str, object]:
    """Columns of a vehicle. Raises Refusal."""
    tyre = read_tyre(details.tyre_size)
    year = details.model_year
    if year is not None and not EARLIEST_YEAR <= year <= clock.today().year + 2:
        raise Refusal(
            "Check the model year: four digits, at most two years ahead.", field="model_year"
        )
    _check_service_date(details)
    plate = " ".join(details.plate.upper().split())
    # Some small letters become two capitals.
    if len(plate) > LONGEST_PLATE:
        raise Refusal(f"A plate has at most {LONGEST_PLATE} characters.", field="plate")
    return {
        **_checked_vin(details),
        "plate": plate,
        "plate_key": plate_key(plate),
        "platform": details.platform,
        "model_year": year,
        "tyre_size": tyre.normal_form() if tyre else "",
        "tyre_width_mm": tyre.width_mm if tyre else None,
        "tyre_aspect": tyre.aspect if tyre else None,
        "tyre_rim_in": tyre.rim_in if tyre else None,
        "in_service_on": details.in_service_on,
    }


def _checked_vin(details: VehicleInput) -> dict[str, object]:
    found = check_vin(details.vin, light_vehicle=None)
    reason = details.vin_overrule_reason.strip()
    if not found.ok:
        raise Refusal(found.sentence or "Write the VIN.", field="vin")
    if found.needs_reason and not reason:
        raise Refusal(found.warning, field="vin_overrule_reason")
    return {"vin": found.vin, "vin_overrule_reason": reason if found.needs_reason else ""}


def _check_service_date(details: VehicleInput) -> None:
    day = details.in_service_on
    if day is None:
        return
    if day > clock.today():
        raise Refusal(
            "This day is still to come. Write the day on which the vehicle went into service.",
            field="in_service_on",
        )
    question = ask_about_service_date(day, details.model_year)
    if question and not details.in_service_sure:
        raise Refusal(question.sentence, field="in_service_sure")


def _check_first_distance(vehicle: Vehicle, details: VehicleInput) -> None:
    """A vehicle that had run before it went into service: one of the two days may be wrong."""
    day = details.in_service_on
    if day is None or day == vehicle.in_service_on or details.in_service_sure:
        return
    first = vehicle.odometer_readings.order_by("read_at", "pk").first()
    seen_on = timezone.localtime(first.read_at).date() if first else None
    question = ask_about_first_distance(day, seen_on=seen_on, shown=str(first or ""))
    if question:
        raise Refusal(question.sentence, field="in_service_sure")


def _owner(actor: Actor, customer: Customer | CustomerInput) -> Customer:
    if isinstance(customer, CustomerInput):
        return customers.add_customer(actor, act=None, details=customer)
    if customer.workshop_id != actor.workshop.pk:
        raise Refusal("Choose a customer of this workshop.", field="name")
    return customer


def _known_already(actor: Actor, vin: str) -> Refusal:
    known = Vehicle.objects.of(actor).filter(vin=vin).select_related("customer").first()
    whose = f": {known}, {known.customer}" if known else ""
    return Refusal(f"This VIN is here already{whose}. Choose that vehicle instead.", field="vin")


def _changed(vehicle: Vehicle, fields: dict[str, object]) -> list[str]:
    """What is different now, in the words of the form: "plate 7KD 3318 → 7KD 3319"."""
    said = []
    for name, label in _WORDS.items():
        before, after = getattr(vehicle, name), fields[name]
        if before != after:
            said.append(f"{label} {before or 'none'} → {after or 'none'}")
    return said


def _log(actor: Actor, vehicle: Vehicle, words: str) -> None:
    log.write(actor, kind="vehicle", subject_kind="vehicle", subject_id=vehicle.pk, words=words)
