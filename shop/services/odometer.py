"""Odometer readings: noted as typed, questioned when they look wrong, never edited."""

from __future__ import annotations

import re
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from shop import clock, units
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import OdometerReading, Vehicle
from shop.ports import follower
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must
from shop.vehicle_questions import ask_about_distance

UNITS = ("km", "mi")
MOST_SHOWN = 9_999_999
_GROUPED = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{3})+")


@dataclass(frozen=True, slots=True)
class OdometerInput:
    """As typed, in "km" or "mi". `reason` answers the question that a strange figure raises."""

    value: str
    unit: str
    reason: str = ""


@transaction.atomic
def note(
    actor: Actor,
    vehicle: Vehicle,
    seen: OdometerInput,
    *,
    seen_at: str,
    act: UUID | None = None,
) -> OdometerReading:
    """Keep a distance; `seen_at` is one of OdometerReading.Seen.

    `act` is None inside another act, which has claimed its UUID already. Raises Refusal for
    field "odometer" when it is no distance, and for "odometer_reason" when it is less than
    before or far more, and no reason is given.
    """
    if act is not None:
        acts.claim(actor, act, "odometer", about=vehicle)
        must(actor, Permit.EDIT_VEHICLE)
    if vehicle.workshop_id != actor.workshop.pk:
        raise Refusal("This vehicle belongs to another workshop.", field="odometer")
    metres = _metres(seen)
    now = clock.now()
    last = vehicle.odometer_readings.filter(read_at__lte=now).first()
    shown = units.with_unit(_written(seen), seen.unit)
    question = ask_about_distance(
        metres,
        before=last.distance_m if last else None,
        days=(now - last.read_at).days if last else 0,
        shown=shown,
        shown_before=units.with_unit(last.typed_value, last.typed_unit) if last else "",
    )
    reason = seen.reason.strip()
    if question and not reason:
        raise Refusal(question.sentence, field="odometer_reason")
    reading: OdometerReading = OdometerReading.objects.create(
        workshop=actor.workshop,
        vehicle=vehicle,
        read_at=now,
        distance_m=metres,
        typed_value=_written(seen),
        typed_unit=seen.unit,
        seen=seen_at,
        lower_than_before=bool(question and question.lower),
        lower_reason=reason if question else "",
        by=actor.user,
    )
    log.write(
        actor,
        kind="odometer",
        subject_kind="vehicle",
        subject_id=vehicle.pk,
        words=f"read the odometer of {vehicle}: {shown}",
        reason=reading.lower_reason,
        at=now,
    )
    follower().follow(vehicle)
    return reading


def _metres(seen: OdometerInput) -> int:
    if not seen.value.strip():
        raise Refusal("Write what the odometer shows.", field="odometer")
    if seen.unit not in UNITS:
        raise Refusal("Choose kilometres or miles.", field="odometer_unit")
    value = _number(seen.value)
    if value < 0:
        raise Refusal("An odometer never shows less than 0.", field="odometer")
    if value > MOST_SHOWN:
        raise Refusal("That is more than an odometer can show; check the digits.", field="odometer")
    return round(units.to_si(value, seen.unit))


def _number(typed: str) -> float:
    """No odometer shows thousandths, so a mark before three digits only groups them."""
    if _GROUPED.fullmatch(typed.strip()):
        return float(re.sub(r"\D", "", typed))
    try:
        return units.parse_number(typed)
    except units.UnitError as error:
        raise Refusal(error.sentence, field="odometer") from error


def _written(seen: OdometerInput) -> str:
    """The figure as it is shown from now on: digits grouped alike whatever was typed."""
    value = _number(seen.value)
    return units.format_number(value, decimals=0 if value.is_integer() else 1)
