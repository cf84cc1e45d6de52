"""Who is asked to pay: the payers of a workshop, and which of them answers for a complaint."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from django.db.models import QuerySet
from django.http import Http404

from jobs.models import ClaimPayer, Complaint, Payer
from jobs.queries.coverage import CoveragePicture
from shop.actor import Actor

ASKED = frozenset(Payer.values) - {Payer.CUSTOMER, Payer.WORKSHOP}


def listing(actor: Actor) -> QuerySet[ClaimPayer]:
    rows: QuerySet[ClaimPayer] = ClaimPayer.objects.of(actor).order_by("retired", "name")
    return rows


def get_payer(actor: Actor, pk: int) -> ClaimPayer:
    found: ClaimPayer | None = ClaimPayer.objects.of(actor).filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def in_use(workshop_id: int) -> list[ClaimPayer]:
    """Those who may be asked now. One query."""
    return list(ClaimPayer.objects.filter(workshop=workshop_id, retired=False).order_by("name"))


def payer_for(
    complaint: Complaint, payers: Collection[ClaimPayer], picture: CoveragePicture | None
) -> ClaimPayer | None:
    """The payer that answers for this complaint; None when none, or several equally, do.

    One that names the make, the supplier or the contract goes before one that answers for any.
    """
    own = [one for one in payers if one.kind == complaint.payer]
    ranked = [(rank, one) for one in own if (rank := _rank(one, complaint, picture))]
    best = max((rank for rank, _one in ranked), default=0)
    chosen = [one for rank, one in ranked if rank == best]
    return chosen[0] if len(chosen) == 1 else None


def _rank(payer: ClaimPayer, complaint: Complaint, picture: CoveragePicture | None) -> int:
    """2 when it is named, 1 when it answers for any, 0 when it answers for others."""
    if payer.kind == Payer.SERVICE_CONTRACT:
        return _of_contract(payer, picture)
    platform = complaint.order.vehicle.platform
    narrowed: Mapping[str, str] = {
        payer.make: platform.make if platform else "",
        payer.supplier: _supplier(complaint),
    }
    named = [wanted for wanted in narrowed if wanted]
    if any(wanted.casefold() != narrowed[wanted].casefold() for wanted in named):
        return 0
    return 2 if named else 1


def _of_contract(payer: ClaimPayer, picture: CoveragePicture | None) -> int:
    decided = picture.decision.decided if picture else None
    name = decided.term.name if decided else ""
    return 2 if payer.name.casefold() in name.casefold() else 1


def _supplier(complaint: Complaint) -> str:
    """Of the unit that came off, else of the part that goes on."""
    for row in complaint.replacements.all():
        supplier: str = (row.unit_off.supplier if row.unit_off else "") or row.supplier
        if supplier:
            return supplier
    return ""
