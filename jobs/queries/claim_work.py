"""What was done and fitted for a claim's complaint, as its document says it."""

from __future__ import annotations

from decimal import Decimal

from jobs.claims import document as parts
from jobs.models import Claim, ClockEntry, LabourLine, Replacement
from jobs.queries.claim_proof import local, when
from jobs.queries.clock import counted
from jobs.queries.priced import labour_text, place_words


def operations_of(claim: Claim) -> tuple[parts.Operation, ...]:
    rows = LabourLine.objects.filter(complaint=claim.complaint_id, withdrawn=False)
    return tuple(
        parts.Operation(
            row.code,
            labour_text(row),
            Decimal(row.sold_tenths) / 10,
            Decimal(row.allowed_tenths) / 10 if row.allowed_tenths is not None else None,
        )
        for row in rows.order_by("pk")
    )


def clocked_of(claim: Claim) -> tuple[parts.Clocked, ...]:
    rows = ClockEntry.objects.filter(complaint=claim.complaint_id, ended_at__isnull=False)
    return tuple(
        parts.Clocked(
            str(row.user),
            when(row.counted_from),
            when(row.counted_to or row.counted_from),
            int(counted(row).total_seconds() // 60),
        )
        for row in rows.select_related("user").order_by("counted_from", "pk")
    )


def fitted_of(claim: Claim) -> tuple[Replacement, ...]:
    rows = Replacement.objects.filter(
        complaint=claim.complaint_id, state=Replacement.State.FITTED
    ).select_related("component", "unit_off", "unit_on", "held_part")
    return tuple(rows.order_by("fitted_at", "pk"))


def part_of(row: Replacement) -> parts.PartFitted:
    held = getattr(row, "held_part", None)
    return parts.PartFitted(
        description=str(row.component),
        position=place_words(row.position),
        part_number=row.part_number,
        condition=row.condition,
        serial_off=row.unit_off.serial_number if row.unit_off else "",
        serial_on=row.unit_on.serial_number if row.unit_on else "",
        fitted_at=local(row.fitted_at),
        tag=held.number if held else "",
        tag_state=held.state if held else "",
        held_until=held.hold_until if held else None,
    )
