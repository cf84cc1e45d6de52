"""Fitting an assembly: one unit comes off the vehicle, one goes on, and both are remembered."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils.timezone import localtime

from jobs.cautions import cautions_for
from jobs.models import FittedUnit, RepairOrder, Replacement
from jobs.queries import fitting as queries
from jobs.queries.estimate import assembly_text
from jobs.services import held, lives
from jobs.stages import Stage
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

State = Replacement.State


# What the columns of a fitted unit hold.
LONGEST_SERIAL, LONGEST_PART, LONGEST_BATCH = 60, 40, 40


@transaction.atomic
def acknowledge(actor: Actor, *, act: UUID, order: RepairOrder) -> None:
    """This person has read the cautions of what this job fits. Each fitter does so once."""
    acts.claim(actor, act, "cautions", about=order)
    must(actor, Permit.FIT)
    cautions = cautions_for(queries.systems_to_fit(order))
    log.write(
        actor,
        kind=queries.CAUTIONS_READ,
        subject_kind="order",
        subject_id=order.pk,
        words="read the cautions before fitting",
        reason=queries.SEPARATOR.join(caution.title for caution in cautions),
    )


@transaction.atomic
def fit(
    actor: Actor,
    *,
    act: UUID,
    replacement: Replacement,
    serial_off: str = "",
    serial_on: str = "",
    part_number_on: str = "",
    batch_on: str = "",
    serial_differs: bool = False,
    part_differs: bool = False,
    part_because: str = "",
    kept_as: str = "",
    kept_at: str = "",
) -> Replacement:
    """Record that an assembly was fitted at its position, today, at the distance last seen.

    The unit taken off is the one known at that place, or one first seen when the vehicle first
    came to this workshop; where `serial_differs` says that it is not the one on record, somebody
    else had replaced that one before. What came off is tagged and kept in the same act, as
    `kept_as` (else what follows from the job) at the place `kept_at`. `batch_on`: as on the new
    one's label, where there is one. Raises Refusal when the cautions were not read, when a serial
    number is known elsewhere, when the unit taken off is not the one on record (unless
    `serial_differs` says that this was looked at), or when the part number is not the one that
    was ordered (unless `part_differs` says so and `part_because` why).
    """
    acts.claim(actor, act, "fit", about=replacement)
    must(actor, Permit.FIT)
    row = _to_fit(actor, replacement)
    order = row.complaint.order
    if not queries.cautions_were_read(actor, order):
        raise Refusal("Read the cautions above and say so; then record what was fitted.")
    off = number_in_capitals(serial_off, LONGEST_SERIAL, "serial_off")
    on = number_in_capitals(serial_on, LONGEST_SERIAL, "serial_on")
    part = number_in_capitals(part_number_on, LONGEST_PART, "part_number_on")
    batch = number_in_capitals(batch_on, LONGEST_BATCH, "batch_on")
    if off and off == on:
        raise Refusal(
            "The same serial number stands for the unit off and the unit on. Scan both again.",
            field="serial_on",
        )
    why_part = _check_part(row, part, part_differs, part_because)
    check_not_elsewhere(actor, row, on)
    row.unit_off = _take_off(row, off, serial_differs)
    row.unit_on = _put_on(row, on, part, batch)
    row.fitted_at, row.fitted_by = clock.now(), actor.user
    row.state, row.state_since = State.FITTED, row.fitted_at
    row.save()
    serials = f" (serial number off {off or 'not given'}, on {on or 'not given'})"
    log.write(
        actor,
        kind="fitting",
        subject_kind="order",
        subject_id=order.pk,
        words=f"fitted {assembly_text(row)}{serials}" + (f" as {part}" if why_part else ""),
        reason=why_part,
    )
    held.hold(actor, row, why=kept_as, place=kept_at)
    lives.refresh(order.vehicle)
    return row


def number_in_capitals(typed: str, most: int, field: str) -> str:
    """In capitals, of which some letters have two where the small one was one."""
    number = typed.strip().upper()
    if len(number) > most:
        raise Refusal(f"At most {most} characters, in capitals.", field=field)
    return number


def _to_fit(actor: Actor, replacement: Replacement) -> Replacement:
    row: Replacement = (
        Replacement.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related(
            "workshop",
            "component",
            "complaint__conclusion__failure_mode",
            "complaint__order__vehicle",
            "complaint__order__odometer_in",
            "supply_line__order__supplier",
        )
        .get(pk=replacement.pk)
    )
    order = row.complaint.order
    if order.stage != Stage.REPAIRING:
        raise Refusal(
            f"The job is {Stage(order.stage).words}; assemblies are fitted while it is repairing."
        )
    if row.state != State.RECEIVED:
        raise Clash(f"{assembly_text(row)} is {row.get_state_display()}; nothing was recorded.")
    if row.handed_at is None:
        raise Refusal(
            f"{assembly_text(row)} still lies at the Counter. "
            "Have it handed over, so that the shelf is right; then record what was fitted."
        )
    return row


def _check_part(row: Replacement, part: str, differs: bool, because: str) -> str:
    """Why another number than the ordered one is right; "" when it is the ordered one."""
    if not part or normal(part) == normal(row.part_number):
        return ""
    if not differs:
        raise Refusal(
            f"Ordered was {row.part_number}. Read the label once more; if {part} is right for "
            "this vehicle, tick that below and say why.",
            field="part_number_on",
        )
    if not because.strip():
        raise Refusal(f"Say why {part} may stand for {row.part_number}.", field="part_because")
    return because.strip()


def check_not_elsewhere(actor: Actor, row: Replacement, serial: str) -> None:
    """Refuse a serial number that is on record as fitted to a vehicle now."""
    if not serial:
        return
    known = (
        FittedUnit.objects.of(actor)
        .filter(component=row.component, serial_number=serial, left_on__isnull=True)
        .select_related("vehicle")
        .first()
    )
    if known is not None:
        raise Refusal(
            f"Serial number {serial} is on record as fitted to {known.vehicle}"
            f" {known.get_position_display() if known.position else ''}".rstrip()
            + ". Check the label of the new unit.",
            field="serial_on",
        )


def _take_off(row: Replacement, serial: str, serial_differs: bool) -> FittedUnit:
    vehicle = row.complaint.order.vehicle
    seen = queries.distances(vehicle)
    unit = FittedUnit.objects.filter(
        vehicle=vehicle, component=row.component, position=row.position, left_on__isnull=True
    ).first()
    if unit is None:
        unit = _unknown(row, FittedUnit.Entry.FIRST_SEEN, seen.first_on, seen.first_m)
    elif serial and unit.serial_number and unit.serial_number != serial:
        if not serial_differs:
            raise Refusal(
                f"On record at this place is serial number {unit.serial_number}. "
                "Check the label; if it is right, tick that it differs.",
                field="serial_off",
            )
        unit = _found_instead(row, unit)
    unit.serial_number = serial or unit.serial_number
    unit.left_on, unit.left_at_m = clock.today(), seen.last_m
    conclusion = row.complaint.conclusion
    failed = conclusion is not None and (conclusion.component_id, conclusion.position) == (
        row.component_id,
        row.position,
    )
    unit.exit = FittedUnit.Exit.FAILED if failed else FittedUnit.Exit.OTHER
    unit.failure_mode = conclusion.failure_mode if conclusion and failed else None
    unit.save()
    return unit


def _found_instead(row: Replacement, unit: FittedUnit) -> FittedUnit:
    """Somebody else has replaced the unit on record; when, follows from when it was last seen."""
    order = row.complaint.order
    came_on, came_m = localtime(order.taken_in_at).date(), order.odometer_in.distance_m
    unit.exit, unit.left_on, unit.left_at_m = FittedUnit.Exit.ELSEWHERE, came_on, None
    unit.save()
    return _unknown(row, FittedUnit.Entry.ELSEWHERE, came_on, came_m)


def _unknown(row: Replacement, entry: str, on: date, at_m: int) -> FittedUnit:
    """A unit of which nothing was written down before."""
    return FittedUnit(
        workshop=row.workshop,
        vehicle=row.complaint.order.vehicle,
        component=row.component,
        position=row.position,
        entry=entry,
        entered_on=on,
        entered_at_m=at_m,
    )


def _put_on(row: Replacement, serial: str, part_number: str, batch: str) -> FittedUnit:
    vehicle = row.complaint.order.vehicle
    unit: FittedUnit = FittedUnit.objects.create(
        workshop=row.workshop,
        vehicle=vehicle,
        component=row.component,
        position=row.position,
        serial_number=serial,
        part_number=part_number or row.part_number,
        supplier=row.supplier,
        batch=batch,
        entry=FittedUnit.Entry.FITTED,
        entered_on=clock.today(),
        entered_at_m=queries.distances(vehicle).last_m,
    )
    return unit
