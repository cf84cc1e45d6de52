"""Service contracts of a vehicle: kept, changed, and ended early."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from jobs.coverage.spans import months_after
from jobs.models import ServiceContract
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Vehicle
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

_MANY = ("systems", "left_out")
_TAKEN = "This contract is on record already. Change that one instead."


@transaction.atomic
def add(
    actor: Actor, *, act: UUID, vehicle: Vehicle, given: Mapping[str, Any], sure: bool = False
) -> ServiceContract:
    """Keep a contract. `sure` answers what is asked: an overlap, an odometer that does not fit.

    Raises Refusal beside the field that is wrong, or that asks.
    """
    acts.claim(actor, act, "add contract", about=vehicle, sent=_said(given))
    must(actor, Permit.DECIDE_COVERAGE)
    _check(vehicle, given, sure, own=None)
    try:
        with transaction.atomic():
            row: ServiceContract = ServiceContract.objects.create(
                workshop=actor.workshop, vehicle=vehicle, **_columns(given)
            )
    except IntegrityError as error:
        raise Refusal(_TAKEN, field="number") from error
    _link(row, given)
    _say(actor, vehicle, f"kept the contract {row} of {vehicle}")
    return row


@transaction.atomic
def change(
    actor: Actor,
    *,
    act: UUID,
    contract: ServiceContract,
    revision: int,
    given: Mapping[str, Any],
    sure: bool = False,
) -> None:
    """What was decided before keeps the terms it saw. Raises Clash when it changed meanwhile."""
    acts.claim(actor, act, "change contract", about=contract, sent=_said(given))
    must(actor, Permit.DECIDE_COVERAGE)
    _check(contract.vehicle, given, sure, own=contract.pk)
    try:
        with transaction.atomic():
            _write(contract, revision, _columns(given))
    except IntegrityError as error:
        raise Refusal(_TAKEN, field="number") from error
    _link(contract, given)
    contract.refresh_from_db()
    _say(actor, contract.vehicle, f"changed the contract {contract} of {contract.vehicle}")


@transaction.atomic
def end(
    actor: Actor,
    *,
    act: UUID,
    contract: ServiceContract,
    revision: int,
    ended_on: date,
    because: str,
) -> None:
    """The contract holds up to and including `ended_on`."""
    acts.claim(actor, act, "end contract", about=contract)
    must(actor, Permit.DECIDE_COVERAGE)
    if contract.ended_on is not None:
        raise Refusal(f"It ended on {_day(contract.ended_on)} already.")
    if ended_on > clock.today():
        raise Refusal("This day is still to come.", field="ended_on")
    if ended_on < contract.starts_on:
        raise Refusal("It cannot end before it starts.", field="ended_on")
    if not because.strip():
        raise Refusal("Say why it ended.", field="because")
    changes = {"ended_on": ended_on, "ended_because": because.strip()}
    _write(contract, revision, changes)
    words = f"ended the contract {contract} of {contract.vehicle}"
    _say(actor, contract.vehicle, words, because.strip())


def overlapping(
    vehicle: Vehicle, starts_on: date, months: int | None, own: int | None
) -> list[ServiceContract]:
    """Contracts that run at the same time as one of these months. One query."""
    last = months_after(starts_on, months) if months is not None else date.max
    found = []
    for row in ServiceContract.objects.filter(vehicle=vehicle).exclude(pk=own):
        theirs = row.ended_on or date.max
        if row.months is not None:
            theirs = min(theirs, months_after(row.starts_on, row.months))
        if row.starts_on <= last and starts_on <= theirs:
            found.append(row)
    return found


def _check(vehicle: Vehicle, given: Mapping[str, Any], sure: bool, own: int | None) -> None:
    starts_on: date = given["starts_on"]
    if not 1950 <= starts_on.year <= clock.today().year + 20:
        raise Refusal("That is years away. Check the year.", field="starts_on")
    if given["distance_m"] is not None and given["starts_at_m"] is None:
        raise Refusal(
            "A limit of distance counts from somewhere: type the odometer at the start.",
            field="starts_at_m",
        )
    if not 0 < given["percent"] <= 100:
        raise Refusal("Type a percentage above 0 and up to 100.", field="percent")
    if given["deductible"] < 0:
        raise Refusal("A deductible is not below nought.", field="deductible")
    if vehicle.in_service_on and starts_on < vehicle.in_service_on:
        raise Refusal(
            f"The vehicle went into service on {_day(vehicle.in_service_on)}, after this day.",
            field="starts_on",
        )
    questions = [*_odometer_question(vehicle, given), *_overlap_question(vehicle, given, own)]
    if questions and not sure:
        raise Refusal(f"{' '.join(questions)} If it is so, tick it below.", field="sure")


def _odometer_question(vehicle: Vehicle, given: Mapping[str, Any]) -> list[str]:
    """The odometer at the start against the last reading before it and the first one after."""
    at_m = given["starts_at_m"]
    if at_m is None:
        return []
    rows = vehicle.odometer_readings.order_by("read_at", "pk")
    for row in rows.values_list("read_at", "distance_m", "typed_value", "typed_unit"):
        read_on, distance_m = timezone.localtime(row[0]).date(), row[1]
        seen = f"{row[2]} {row[3]} on {_day(read_on)}"
        if read_on <= given["starts_on"] and distance_m > at_m:
            return [f"The odometer showed {seen} already, more than at the contract’s start."]
        if read_on >= given["starts_on"] and distance_m < at_m:
            return [f"The odometer showed only {seen}, less than at the contract’s start."]
    return []


def _overlap_question(vehicle: Vehicle, given: Mapping[str, Any], own: int | None) -> list[str]:
    others = overlapping(vehicle, given["starts_on"], given["months"], own)
    if not others:
        return []
    named = ", ".join(str(one) for one in others)
    return [f"It runs at the same time as {named}: only one of them is asked for one repair."]


def _write(contract: ServiceContract, revision: int, columns: Mapping[str, Any]) -> None:
    rows = ServiceContract.objects.filter(pk=contract.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, **columns):
        raise Clash("Somebody changed this contract meanwhile. The page shows it as it is now.")


def _columns(given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in given.items() if name not in _MANY}


def _said(given: Mapping[str, Any]) -> list[str]:
    """What was typed, so that another contract under a used act is not taken for this one."""
    plain = [f"{name}={value}" for name, value in sorted(_columns(given).items())]
    many = [f"{name}={sorted(one.pk for one in given.get(name, ()))}" for name in _MANY]
    return plain + many


def _link(row: ServiceContract, given: Mapping[str, Any]) -> None:
    row.systems.set(given.get("systems", ()))
    row.left_out.set(given.get("left_out", ()))


def _say(actor: Actor, vehicle: Vehicle, words: str, reason: str = "") -> None:
    log.write(
        actor,
        kind="coverage",
        subject_kind="vehicle",
        subject_id=vehicle.pk,
        words=words,
        reason=reason,
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
