"""The facts of a job from which it follows why a part that came off is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.models import PartNumber
from jobs.holding import Proposal, proposed, wanted_back
from jobs.models import Payer, RepairOrder, Replacement, Supplier, Terms
from jobs.queries.terms import terms_of
from jobs.supersession import normal

# Who pays and may ask to see what was replaced.
KEEPERS = frozenset({Payer.VEHICLE_WARRANTY, Payer.PARTS_WARRANTY, Payer.SERVICE_CONTRACT})


@dataclass(frozen=True, slots=True)
class Facts:
    proposal: Proposal
    core_credit: Decimal | None
    terms: Terms


def facts_for(rows: Sequence[Replacement]) -> Mapping[int, Facts]:
    """By assembly, for the assemblies of one workshop. Two queries however many they are."""
    if not rows:
        return {}
    terms = terms_of(rows[0].workshop)
    credits = _core_credits({row.component_id for row in rows})
    return {row.pk: _facts(row, terms, credits) for row in rows}


def facts_of(row: Replacement) -> Facts:
    return facts_for([row])[row.pk]


def customer_wants(order: RepairOrder, terms: Terms) -> bool:
    """Are the replaced parts of this job to be given back?"""
    unless_waived = terms.return_parts == Terms.ReturnParts.UNLESS_WAIVED
    return wanted_back(unless_waived=unless_waived, answer=order.parts_wanted)


def supplier_of(row: Replacement) -> Supplier | None:
    """Whom the core of an assembly goes back to, where that is known."""
    line = row.supply_line
    if line is not None:
        supplier: Supplier = line.order.supplier
        return supplier
    return Supplier.objects.filter(workshop=row.workshop_id, name=row.supplier).first()


def _facts(row: Replacement, terms: Terms, credits: Mapping[tuple[int, str], Decimal]) -> Facts:
    complaint = row.complaint
    credit = credits.get((row.component_id, normal(row.part_number)))
    payer = str(Payer(complaint.payer).label) if complaint.payer in KEEPERS else ""
    wants = customer_wants(complaint.order, terms)
    return Facts(proposed(payer=payer, core_credit=credit, customer_wants=wants), credit, terms)


def _core_credits(components: Iterable[int]) -> Mapping[tuple[int, str], Decimal]:
    """What the catalogue says the old unit brings when a number of a component is bought."""
    rows = PartNumber.objects.filter(component__in=components, core_credit__isnull=False)
    found = rows.order_by("-retired", "-pk").values_list("component", "number", "core_credit")
    return {
        (component, normal(number)): credit or Decimal(0) for component, number, credit in found
    }
