"""What is to be fitted on a job, what is on the vehicle now, and who has read the cautions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet
from django.utils import timezone

from jobs.cautions import Caution, cautions_for
from jobs.holding import Proposal
from jobs.models import Complaint, FittedUnit, HeldPart, RepairOrder, Replacement
from jobs.queries.estimate import place_words
from jobs.queries.held_facts import facts_for
from shop.actor import Actor
from shop.models import LogEntry, OdometerReading, Vehicle

CAUTIONS_READ = "cautions"
SEPARATOR = "; "


@dataclass(frozen=True, slots=True)
class Distances:
    """First and last sight of a vehicle at this workshop; distances in metres."""

    first_on: date
    first_m: int
    last_on: date
    last_m: int


def distances(vehicle: Vehicle) -> Distances:
    """Raises LookupError for a vehicle never seen, which no taking in leaves behind."""
    rows = OdometerReading.objects.filter(vehicle=vehicle)
    first = rows.order_by("read_at", "pk").first()
    last = rows.order_by("-read_at", "-pk").first()
    if first is None or last is None:
        raise LookupError(f"No distance was ever read on vehicle {vehicle.pk}.")
    return Distances(_day(first), first.distance_m, _day(last), last.distance_m)


def _day(reading: OdometerReading) -> date:
    return timezone.localtime(reading.read_at).date()


def to_fit(order: RepairOrder) -> QuerySet[Replacement]:
    """The assemblies of the job that were authorised and not cancelled, fitted ones too."""
    return (
        Replacement.objects.filter(
            complaint__order=order, complaint__decision=Complaint.Decision.AUTHORISED
        )
        .exclude(state__in=[Replacement.State.CANCELLED, Replacement.State.PROPOSED])
        .select_related(
            "workshop", "component__system", "complaint__order", "unit_off", "unit_on", "fitted_by"
        )
        .order_by("complaint__line", "pk")
    )


def systems_to_fit(order: RepairOrder) -> set[str]:
    rows = to_fit(order).select_related(None).order_by()
    return set(rows.values_list("component__system__key", flat=True))


def cautions_were_read(actor: Actor, order: RepairOrder) -> bool:
    """Has this person read every caution of what the job fits now?"""
    read: set[str] = set()
    rows = LogEntry.objects.of(actor).filter(
        subject_kind="order", subject_id=order.pk, kind=CAUTIONS_READ, by=actor.user
    )
    for titles in rows.values_list("reason", flat=True):
        read.update(titles.split(SEPARATOR))
    return {caution.title for caution in cautions_for(systems_to_fit(order))} <= read


@dataclass(frozen=True, slots=True)
class FittingLine:
    """`kept` is why the unit that comes off would be kept; `held` its tag once it is off."""

    replacement: Replacement
    where: str
    on_record: FittedUnit | None
    kept: Proposal | None = None
    held: HeldPart | None = None

    @property
    def fitted(self) -> bool:
        return self.replacement.state == Replacement.State.FITTED

    @property
    def here(self) -> bool:
        row = self.replacement
        return row.state == Replacement.State.RECEIVED and row.handed_at is not None

    @property
    def at_counter(self) -> bool:
        return self.replacement.state == Replacement.State.RECEIVED and not self.here


@dataclass(frozen=True, slots=True)
class FittingSheet:
    lines: tuple[FittingLine, ...]
    cautions: tuple[Caution, ...]
    cautions_read: bool

    @property
    def left(self) -> int:
        return sum(1 for line in self.lines if not line.fitted)


def sheet(actor: Actor, order: RepairOrder) -> FittingSheet:
    rows = list(to_fit(order))
    units = {
        (unit.component_id, unit.position): unit
        for unit in FittedUnit.objects.filter(
            vehicle=order.vehicle_id,
            component__in={row.component_id for row in rows},
            left_on__isnull=True,
        )
    }
    facts = facts_for(rows)
    tags = {tag.replacement_id: tag for tag in HeldPart.objects.filter(replacement__in=rows)}
    lines = tuple(
        FittingLine(
            row,
            place_words(row.position),
            units.get((row.component_id, row.position)),
            facts[row.pk].proposal,
            tags.get(row.pk),
        )
        for row in rows
    )
    return FittingSheet(
        lines,
        cautions_for({row.component.system.key for row in rows}),
        cautions_were_read(actor, order),
    )
