"""What a vehicle is promised today: the terms of its pages, its contracts and its campaigns."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.http import Http404

from diagnostics.models import CatalogueVersion, CoverageTerm
from jobs.coverage.facts import Facts
from jobs.coverage.judging import Judged, judge
from jobs.coverage.terms import Term
from jobs.coverage.why import NOT_YET, Why
from jobs.models import Campaign, ServiceContract
from jobs.queries.coverage_terms import campaign_term, contract_term, vehicle_term
from shop import clock
from shop.actor import Actor
from shop.models import Vehicle
from shop.units import format_value

_OVER = frozenset({Why.TIME_OVER, Why.DISTANCE_OVER, Why.ENDED_EARLY})


@dataclass(frozen=True, slots=True)
class Promise:
    """One term as it stands today. `state`: runs, over, not_yet, done or unknown."""

    name: str
    source: str
    state: str
    last_day: date | None
    ends_at: str
    left: str
    row: ServiceContract | Campaign | None = None


@dataclass(frozen=True, slots=True)
class VehicleCover:
    terms: tuple[Promise, ...]
    contracts: tuple[Promise, ...]
    campaigns: tuple[Promise, ...]

    @property
    def any(self) -> bool:
        return bool(self.terms or self.contracts or self.campaigns)


def cover_of(vehicle: Vehicle, distance_m: int | None) -> VehicleCover:
    """As of today and of the distance last seen. The number of queries is constant."""
    facts = Facts(on=clock.today(), distance_m=distance_m)
    unit = vehicle.workshop.distance_unit
    contracts = ServiceContract.objects.filter(vehicle=vehicle)
    campaigns = Campaign.objects.filter(vehicle=vehicle).select_related("component")
    return VehicleCover(
        terms=tuple(
            _promise(vehicle_term(row, vehicle.in_service_on), facts, unit)
            for row in _terms(vehicle)
        ),
        contracts=tuple(
            _promise(contract_term(row), facts, unit, row)
            for row in contracts.prefetch_related("systems", "left_out")
        ),
        campaigns=tuple(_promise(campaign_term(row), facts, unit, row) for row in campaigns),
    )


def get_contract(actor: Actor, pk: int) -> ServiceContract:
    """A stranger's is 404, as none at all."""
    rows = ServiceContract.objects.of(actor).select_related("vehicle__workshop")
    found: ServiceContract | None = rows.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def get_campaign(actor: Actor, pk: int) -> Campaign:
    rows = Campaign.objects.of(actor).select_related("vehicle__workshop")
    found: Campaign | None = rows.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def _terms(vehicle: Vehicle) -> list[CoverageTerm]:
    """Those of the newest pages that fit the model year; units' terms begin with a fitting."""
    version = CatalogueVersion.objects.filter(platform=vehicle.platform_id).first()
    if version is None or vehicle.platform_id is None:
        return []
    rows = version.coverage_terms.filter(kind=CoverageTerm.Kind.VEHICLE_WARRANTY)
    year = vehicle.model_year
    return [
        row
        for row in rows.prefetch_related("components", "systems", "left_out", "failure_modes")
        if year is None or (row.first_year or 0) <= year <= (row.last_year or 9999)
    ]


def _promise(
    term: Term, facts: Facts, unit: str, row: ServiceContract | Campaign | None = None
) -> Promise:
    one = judge(term, facts, unit=unit)
    ends_at = ""
    if term.distance_m is not None and term.starts_at_m is not None:
        ends_at = _far(term.starts_at_m + term.distance_m, unit)
    state = _state(term, one)
    return Promise(
        name=term.name,
        source=term.source,
        state=state,
        last_day=one.last_day,
        ends_at=ends_at,
        left="" if state in ("over", "done") else _left(one, unit),
        row=row,
    )


def _state(term: Term, one: Judged) -> str:
    if term.remedied_on is not None:
        return "done"
    if one.why in _OVER:
        return "over"
    if one.why in NOT_YET:
        return "not_yet"
    timed = term.months is not None and term.starts_on is None
    far = term.distance_m is not None and one.distance_left_m is None
    return "unknown" if timed or far or one.why is Why.ODOMETER_LOWER else "runs"


def _left(one: Judged, unit: str) -> str:
    found = []
    if one.days_left is not None and one.days_left >= 0:
        found.append("1 day" if one.days_left == 1 else f"{one.days_left} days")
    if one.distance_left_m is not None and one.distance_left_m >= 0:
        found.append(_far(one.distance_left_m, unit))
    return ", ".join(found)


def _far(metres: int, unit: str) -> str:
    return format_value(float(metres), unit, decimals=0)
