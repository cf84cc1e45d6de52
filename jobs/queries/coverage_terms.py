"""What is promised to vehicles and their units, as terms that the rules can judge."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics.models import CoverageTerm
from jobs.coverage.terms import Kind, Scope, Term
from jobs.models import Campaign, Complaint, FittedUnit, Replacement, ServiceContract

Place = tuple[str, int, str]  # VIN, component, position


@dataclass(frozen=True, slots=True)
class Promised:
    terms: tuple[Term, ...]
    unit: str = ""


def promised_to(complaints: Collection[Complaint]) -> Mapping[int, Promised]:
    """By complaint, whose order, vehicle, session and conclusion are loaded. Constant queries."""
    versions = {row.order.session.version_id for row in complaints}
    rows = _catalogue(key for key in versions if key)
    vehicles = {row.order.vehicle_id for row in complaints}
    contracts, campaigns = _contracts(vehicles), _campaigns(vehicles)
    units = _units(complaints)
    return {
        row.pk: _promised(
            row,
            rows[row.order.session.version_id],
            contracts[row.order.vehicle_id] + campaigns[row.order.vehicle_id],
            units.get(row.pk),
        )
        for row in complaints
    }


def _promised(
    complaint: Complaint, rows: list[CoverageTerm], own: list[Term], unit: FittedUnit | None
) -> Promised:
    year = complaint.order.vehicle.model_year
    fitting = [row for row in rows if _of_year(row, year)]
    terms = [
        vehicle_term(row, complaint.order.vehicle.in_service_on)
        for row in fitting
        if row.kind == CoverageTerm.Kind.VEHICLE_WARRANTY
    ]
    if unit is None:
        return Promised((*terms, *own))
    promised = [
        _unit_term(row, unit)
        for row in fitting
        if row.kind == CoverageTerm.Kind.PARTS_WARRANTY
        and unit.entry == FittedUnit.Entry.FITTED
        and row.supplier in ("", unit.supplier)
    ]
    return Promised((*terms, *promised, *own), unit_words(unit))


def _of_year(row: CoverageTerm, year: int | None) -> bool:
    """A year that nobody knows is no reason to leave a term out."""
    if year is None:
        return True
    return (row.first_year or 0) <= year <= (row.last_year or 9999)


# ------------------------------------------------------------------ of the catalogue


def _catalogue(versions: Iterable[int]) -> Mapping[int | None, list[CoverageTerm]]:
    found: dict[int | None, list[CoverageTerm]] = defaultdict(list)
    rows = CoverageTerm.objects.filter(version__in=list(versions)).prefetch_related(
        "components", "systems", "left_out", "failure_modes"
    )
    for row in rows:
        found[row.version_id].append(row)
    return found


def vehicle_term(row: CoverageTerm, in_service_on: date | None) -> Term:
    """A term of the vehicle: from its in-service date, which may not be known, and from nought."""
    return Term(
        key=f"term:{row.pk}",
        name=row.name,
        kind=Kind(row.kind),
        starts_on=in_service_on,
        months=row.months,
        distance_m=row.distance_m,
        scope=_scope(row),
        percent=row.percent,
        source=row.source,
    )


def _unit_term(row: CoverageTerm, unit: FittedUnit) -> Term:
    """The same row, from the day and the distance at which the unit was fitted."""
    return replace(
        vehicle_term(row, unit.entered_on),
        name=f"{row.name}: {unit_words(unit)}",
        starts_at_m=unit.entered_at_m,
        starts_with=_("the day the unit was fitted"),
    )


def _scope(row: CoverageTerm) -> Scope:
    return Scope(
        components=frozenset(one.key for one in row.components.all()),
        systems=frozenset(one.key for one in row.systems.all()),
        left_out=frozenset(one.key for one in row.left_out.all()),
        failure_modes=frozenset(one.key for one in row.failure_modes.all()),
    )


# ------------------------------------------------------------------ of the vehicle


def _contracts(vehicles: Collection[int]) -> Mapping[int, list[Term]]:
    found: dict[int, list[Term]] = defaultdict(list)
    rows = ServiceContract.objects.filter(vehicle__in=vehicles)
    for row in rows.prefetch_related("systems", "left_out"):
        found[row.vehicle_id].append(contract_term(row))
    return found


def contract_term(row: ServiceContract) -> Term:
    return Term(
        key=f"contract:{row.pk}",
        name=_("Service contract %(contract)s") % {"contract": row},
        kind=Kind.SERVICE_CONTRACT,
        starts_on=row.starts_on,
        starts_at_m=row.starts_at_m,
        months=row.months,
        distance_m=row.distance_m,
        waiting_days=row.waiting_days,
        waiting_m=row.waiting_m,
        scope=Scope(
            systems=frozenset(one.key for one in row.systems.all()),
            left_out=frozenset(one.key for one in row.left_out.all()),
        ),
        percent=row.percent,
        deductible=row.deductible,
        ended_on=row.ended_on,
        source=_("contract %(number)s of %(provider)s")
        % {"number": row.number, "provider": row.provider},
        starts_with=_("the start of the contract"),
    )


def _campaigns(vehicles: Collection[int]) -> Mapping[int, list[Term]]:
    found: dict[int, list[Term]] = defaultdict(list)
    for row in Campaign.objects.filter(vehicle__in=vehicles).select_related("component"):
        found[row.vehicle_id].append(campaign_term(row))
    return found


def campaign_term(row: Campaign) -> Term:
    named = frozenset([row.component.key]) if row.component else frozenset()
    return Term(
        key=f"campaign:{row.pk}",
        name=_("Campaign %(campaign)s") % {"campaign": row},
        kind=Kind.CAMPAIGN,
        starts_on=row.announced_on,
        scope=Scope(components=named),
        remedied_on=row.remedied_on,
        source=_("campaign %(reference)s") % {"reference": row.reference},
        starts_with=_("the day it was announced"),
    )


# ------------------------------------------------------------------ of the unit that failed


def _units(complaints: Collection[Complaint]) -> Mapping[int, FittedUnit]:
    """The unit behind each conclusion: what came off for it, or what is at the place. Two queries.

    The same vehicle may have been in another workshop of the group: it is found by its VIN.
    """
    off = {
        (row.complaint_id, row.component_id, row.position): row.unit_off
        for row in Replacement.objects.filter(
            complaint__in=complaints, unit_off__isnull=False
        ).select_related("unit_off__workshop")
    }
    places = {row.pk: place for row in complaints if (place := _place(row))}
    rows = FittedUnit.objects.filter(
        vehicle__vin__in={vin for vin, _component, _position in places.values()},
        component__in={component for _vin, component, _position in places.values()},
    ).select_related("workshop", "vehicle", "put_on_by__complaint")
    # One that was only ever seen is no better known than the vehicle.
    rows = rows.filter(Q(entry=FittedUnit.Entry.FITTED) | Q(taken_off_by__isnull=False))
    at_place: dict[Place, list[FittedUnit]] = defaultdict(list)
    for unit in rows.order_by("entered_on", "pk"):
        at_place[unit.vehicle.vin, unit.component_id, unit.position].append(unit)
    found = {}
    for row in complaints:
        place = places.get(row.pk)
        if place is None:
            continue
        unit_off = off.get((row.pk, place[1], place[2]))
        unit = unit_off or next(_standing(row, at_place[place]), None)
        if unit is not None:
            found[row.pk] = unit
    return found


def _place(complaint: Complaint) -> Place | None:
    concluded = complaint.conclusion
    if concluded is None or concluded.component_id is None:
        return None
    return complaint.order.vehicle.vin, concluded.component_id, concluded.position


def _standing(complaint: Complaint, units: list[FittedUnit]) -> Iterator[FittedUnit]:
    """Those that sat there when the vehicle came, the last one fitted first."""
    order = complaint.order
    came = timezone.localtime(order.taken_in_at).date()
    for unit in reversed(units):
        put_on = getattr(unit, "put_on_by", None)
        own = put_on is not None and put_on.complaint.order_id == order.pk
        left_before = unit.left_on is not None and unit.left_on < came
        if not own and not left_before and unit.entered_on <= came:
            yield unit


def unit_words(unit: FittedUnit) -> str:
    """Which unit, since when and where, as a clause."""
    serial = unit.serial_number or _("without a number")
    what = unit.part_number or _("unit")
    since = f"{unit.entered_on.day} {unit.entered_on:%B %Y}"
    if unit.entry == FittedUnit.Entry.FITTED:
        words = _("%(what)s, serial %(serial)s, fitted %(since)s at %(place)s")
    else:
        words = _("%(what)s, serial %(serial)s, first seen %(since)s at %(place)s")
    return words % {"what": what, "serial": serial, "since": since, "place": unit.workshop}
