"""Putting right the serial numbers of a fitting; what was recorded first stays in the log."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from jobs.models import FittedUnit, Replacement
from jobs.queries.estimate import assembly_text
from jobs.services.fitting import LONGEST_SERIAL, check_not_elsewhere, number_in_capitals
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def correct(
    actor: Actor,
    *,
    act: UUID,
    replacement: Replacement,
    seen_off: str,
    seen_on: str,
    serial_off: str,
    serial_on: str,
    because: str,
) -> Replacement:
    """Other serial numbers for the unit off and the unit on of one fitting.

    `seen_…` are the numbers that the person saw. Raises Clash when they are others by now, and
    Refusal without a reason, for one number on both units, or one known elsewhere.
    """
    acts.claim(actor, act, "correct serials", about=replacement)
    must(actor, Permit.EDIT_VEHICLE)
    row: Replacement = (
        Replacement.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related("component", "unit_off", "unit_on", "complaint__order")
        .get(pk=replacement.pk)
    )
    if row.unit_off is None or row.unit_on is None:
        raise Refusal(f"{assembly_text(row)} has not been fitted yet.")
    off = number_in_capitals(serial_off, LONGEST_SERIAL, "serial_off")
    on = number_in_capitals(serial_on, LONGEST_SERIAL, "serial_on")
    if off and off == on:
        raise Refusal("The same number stands for both units. Scan both again.", field="serial_on")
    if not because.strip():
        raise Refusal("Say how the mistake was noticed; it is kept.", field="because")
    if on != row.unit_on.serial_number:
        check_not_elsewhere(actor, row, on)
    changed = [
        *_write(row.unit_off, seen_off, off, "off"),
        *_write(row.unit_on, seen_on, on, "on"),
    ]
    if not changed:
        raise Refusal("Both numbers are on record like this already.")
    log.write(
        actor,
        kind="serials",
        subject_kind="order",
        subject_id=row.complaint.order_id,
        words=f"corrected serial numbers of {assembly_text(row)}: {'; '.join(changed)}",
        reason=because.strip(),
    )
    return row


def _write(unit: FittedUnit, seen: str, number: str, which: str) -> list[str]:
    """Write the number over the one that was seen, and tell both."""
    if unit.serial_number == number == seen:
        return []
    kept = FittedUnit.objects.filter(pk=unit.pk, serial_number=seen).update(serial_number=number)
    if not kept:
        raise Clash("Somebody corrected these numbers meanwhile. The page shows how they stand.")
    if seen == number:
        return []
    unit.serial_number = number
    return [f"{which} {seen or 'not given'} is now {number or 'not given'}"]
