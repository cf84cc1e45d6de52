"""What payers ask to see, from the payers of claims that a workshop keeps."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, timedelta

from django.db.models import prefetch_related_objects

from jobs.evidence.facts import Wants
from jobs.models import ClaimPayer, Complaint
from jobs.queries.claim_payers import payer_for
from jobs.queries.evidence_facts import Gathered


def wants_of(payer: ClaimPayer, kept_from: date | None = None) -> Wants:
    """`kept_from`: the day the claim went out, or else the part was tagged."""
    until = None
    if kept_from and payer.hold_days is not None:
        until = kept_from + timedelta(days=payer.hold_days)
    return Wants(
        photos=payer.wants_photos,
        clock=payer.wants_clock,
        serials=payer.wants_serials,
        part=payer.wants_part,
        hold_until=until,
    )


def wants_for(rows: Collection[Complaint], found: Gathered) -> Mapping[int, Wants]:
    """By complaint: what the payer asks for who answers for it, or while that is open all that
    payers of its kind ask for, or what is usual. The number of queries is constant."""
    prefetch_related_objects(list(rows), "replacements__unit_off", "order__vehicle__platform")
    payers: dict[tuple[int, str], list[ClaimPayer]] = {}
    workshops = {row.order.workshop_id for row in rows}
    for payer in ClaimPayer.objects.filter(workshop__in=workshops, retired=False):
        payers.setdefault((payer.workshop_id, payer.kind), []).append(payer)
    return {
        row.pk: _together(
            [
                wants_of(one, found.sent_on.get(row.pk) or found.held_on.get(row.pk))
                for one in _answering(row, payers.get((row.order.workshop_id, row.payer), []))
            ]
        )
        for row in rows
    }


def _answering(row: Complaint, payers: list[ClaimPayer]) -> list[ClaimPayer]:
    chosen = payer_for(row, payers, None)
    return [chosen] if chosen else payers


def _together(wants: list[Wants]) -> Wants:
    if not wants:
        return Wants()
    return Wants(
        photos=any(one.photos for one in wants),
        clock=any(one.clock for one in wants),
        serials=any(one.serials for one in wants),
        part=any(one.part for one in wants),
        hold_until=max((one.hold_until for one in wants if one.hold_until), default=None),
    )
