"""Rows that prove complaints, each kind in one query for all of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Q
from django.utils import timezone

from diagnostics import words
from diagnostics.models import (
    Evidence,
    FlagPointer,
    FlagRead,
    Limit,
    Phase,
    Reading,
    StoredFlag,
)
from jobs.evidence.facts import FlagFact, ReadingFact, UnitFact
from jobs.models import (
    Claim,
    ClockEntry,
    Complaint,
    HeldPart,
    LabourLine,
    Photo,
    Replacement,
    RoadTest,
)
from shop.models import OdometerReading

_NOT_HELD = (StoredFlag.Status.NOT_TESTED, StoredFlag.Status.QUIET)
Points = tuple[tuple[str, str], ...]


@dataclass
class Gathered:
    """By the key of what each row belongs to: an order, a session, a complaint, a conclusion."""

    road_tests: Mapping[int, list[bool]]
    reads: set[tuple[int, str]]
    readings: Mapping[int, list[Reading]]
    flags: Mapping[int, list[StoredFlag]]
    points: Mapping[int, Points]
    tied: set[tuple[int, str, int]] = field(default_factory=set)
    looks: Counter[int | None] = field(default_factory=Counter)
    with_limit: set[int] = field(default_factory=set)
    operations: Counter[int] = field(default_factory=Counter)
    clocked: set[int] = field(default_factory=set)
    units: Mapping[int, list[UnitFact]] = field(default_factory=dict)
    photos: Mapping[int, list[str]] = field(default_factory=dict)
    odometer_out: set[int] = field(default_factory=set)
    held_on: Mapping[int, date] = field(default_factory=dict)
    sent_on: Mapping[int, date] = field(default_factory=dict)

    def readings_of(self, complaint: Complaint) -> tuple[ReadingFact, ...]:
        carried = complaint.conclusion_id
        return tuple(
            _reading(row, tied=(carried or 0, "reading", row.pk) in self.tied)
            for row in self.readings[complaint.order.session_id]
        )

    def flags_of(self, complaint: Complaint) -> tuple[FlagFact, ...]:
        """Those held before the repair, and what the last reading-out after it found."""
        rows = self.flags[complaint.order.session_id]
        last = {row.read.module: row.read_id for row in rows if _after(row)}
        carried = complaint.conclusion_id or 0
        return tuple(
            FlagFact(
                code=row.code,
                after=_after(row),
                present=row.status not in _NOT_HELD,
                tied=(carried, "flag", row.pk) in self.tied,
                points_at=self.points.get(row.definition_id or 0, ()),
            )
            for row in rows
            if not _after(row) or last[row.read.module] == row.read_id
        )


def gathered(rows: Collection[Complaint]) -> Gathered:
    """A constant number of queries."""
    orders = {row.order_id for row in rows}
    sessions = {row.order.session_id for row in rows}
    tests: dict[int, list[bool]] = defaultdict(list)
    for order, enough in RoadTest.objects.filter(order__in=orders).values_list(
        "order", "long_enough"
    ):
        tests[order].append(enough)
    reads = FlagRead.objects.filter(session__in=sessions).order_by("pk")
    last_reads = {(read.session_id, read.phase, read.module): read.pk for read in reads}
    flags = _flags(sessions, set(last_reads.values()))
    found = Gathered(
        road_tests=tests,
        reads={(session, phase) for session, phase, _module in last_reads},
        readings=_readings(sessions),
        flags=flags,
        points=_points({row.definition_id for of in flags.values() for row in of}),
    )
    _carriers(found, rows)
    _work(found, rows)
    _units(found, rows)
    found.with_limit = _with_limit(rows)
    found.odometer_out = _odometer_out(rows)
    return found


def _readings(sessions: Collection[int]) -> Mapping[int, list[Reading]]:
    grouped: dict[int, list[Reading]] = defaultdict(list)
    rows = Reading.objects.standing().filter(session__in=sessions)
    for row in rows.select_related("quantity", "component").order_by("pk"):
        grouped[row.session_id].append(row)
    return grouped


def _flags(sessions: Collection[int], last: set[int]) -> Mapping[int, list[StoredFlag]]:
    """All that were found before the repair; after it only what a module's last reading says."""
    grouped: dict[int, list[StoredFlag]] = defaultdict(list)
    rows = StoredFlag.objects.filter(read__session__in=sessions).select_related("read")
    for row in rows.order_by("pk"):
        if not _after(row) or row.read_id in last:
            grouped[row.read.session_id].append(row)
    return grouped


def _after(row: StoredFlag) -> bool:
    return row.read.phase == Phase.AFTER_REPAIR


def _points(definitions: Collection[int | None]) -> Mapping[int, Points]:
    grouped: dict[int, list[tuple[str, str]]] = defaultdict(list)
    rows = FlagPointer.objects.filter(flag__in=[pk for pk in definitions if pk])
    for flag, component, position in rows.order_by("order").values_list(
        "flag", "component__key", "position"
    ):
        grouped[flag].append((component, position))
    return {pk: tuple(points) for pk, points in grouped.items()}


def _carriers(found: Gathered, rows: Collection[Complaint]) -> None:
    """What is tied to each conclusion."""
    concluded = [row.conclusion_id for row in rows if row.conclusion_id]
    for row in Evidence.objects.filter(conclusion__in=concluded):
        if row.reading_id:
            found.tied.add((row.conclusion_id, "reading", row.reading_id))
        elif row.flag_id:
            found.tied.add((row.conclusion_id, "flag", row.flag_id))
        elif row.step_result_id or row.lamp_check_id:
            found.looks[row.conclusion_id] += 1


def _work(found: Gathered, rows: Collection[Complaint]) -> None:
    labour = LabourLine.objects.filter(complaint__in=rows, withdrawn=False)
    found.operations.update(labour.values_list("complaint", flat=True))
    found.clocked.update(
        ClockEntry.objects.filter(complaint__in=rows).values_list("complaint", flat=True)
    )
    photos: dict[int, list[str]] = defaultdict(list)
    for complaint, shows in Photo.objects.filter(complaint__in=rows, removed_at=None).values_list(
        "complaint", "shows"
    ):
        photos[complaint].append(shows)
    found.photos = photos


def _units(found: Gathered, rows: Collection[Complaint]) -> None:
    units: dict[int, list[UnitFact]] = defaultdict(list)
    held_on: dict[int, date] = {}
    parts = Replacement.objects.filter(complaint__in=rows)
    parts = parts.exclude(state=Replacement.State.CANCELLED)
    for part in parts.select_related("component", "unit_off", "unit_on", "held_part").order_by(
        "pk"
    ):
        held: HeldPart | None = getattr(part, "held_part", None)
        if held:
            held_on[part.complaint_id] = timezone.localtime(held.held_at).date()
        units[part.complaint_id].append(_unit(part, held))
    found.units, found.held_on = units, held_on
    sent = Claim.objects.filter(complaint__in=rows, first_sent_at__isnull=False)
    found.sent_on = {
        complaint: timezone.localtime(at).date()
        for complaint, at in sent.order_by("pk").values_list("complaint", "first_sent_at")
        if at
    }


def _unit(part: Replacement, held: HeldPart | None) -> UnitFact:
    place = words.place(part.position)
    return UnitFact(
        component=part.component.key,
        name=f"{part.component.name}, {place}" if place else part.component.name,
        position=part.position,
        part_number=part.part_number,
        fitted=part.state == Replacement.State.FITTED,
        serial_off=part.unit_off.serial_number if part.unit_off else "",
        serial_on=part.unit_on.serial_number if part.unit_on else "",
        tag=held.number if held else "",
        # What was sent to the payer was not lost.
        kept=bool(held and held.state in (HeldPart.State.HELD, HeldPart.State.SENT)),
        held_until=held.hold_until if held else None,
    )


def _with_limit(rows: Collection[Complaint]) -> set[int]:
    """Components for which their session's catalogue knows a limit."""
    wanted = Q(pk__in=[])
    for row in rows:
        if row.conclusion and row.conclusion.component_id:
            wanted |= Q(component=row.conclusion.component_id)
    found = Limit.objects.filter(wanted).order_by().values_list("component", flat=True)
    return {pk for pk in found.distinct() if pk}


def _odometer_out(rows: Collection[Complaint]) -> set[int]:
    """Orders whose vehicle's odometer was read again during the visit."""
    vehicles = {row.order.vehicle_id for row in rows}
    seen: dict[int, list[OdometerReading]] = defaultdict(list)
    since = min((row.order.odometer_in.read_at for row in rows), default=None)
    if since is None:
        return set()
    for reading in OdometerReading.objects.filter(vehicle__in=vehicles, read_at__gte=since):
        seen[reading.vehicle_id].append(reading)
    return {
        row.order_id
        for row in rows
        if any(
            one.read_at >= row.order.odometer_in.read_at
            and one.pk != row.order.odometer_in_id
            and (row.order.closed_at is None or one.read_at <= row.order.closed_at)
            for one in seen[row.order.vehicle_id]
        )
    }


def _reading(row: Reading, *, tied: bool) -> ReadingFact:
    return ReadingFact(
        name=row.quantity.name,
        component=row.component.key if row.component else "",
        position=row.position,
        verdict=row.verdict,
        after=row.phase == Phase.AFTER_REPAIR,
        tied=tied,
        limit=row.limit_low is not None or row.limit_high is not None,
        conditions=bool(words.conditions(row)) or not row.limit_conditions,
        source=bool(row.limit_source),
    )
