"""What was worked out in a session, as it is shown; captures that were sent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet
from django.http import Http404

from diagnostics import words
from diagnostics.figures import VERDICT_OF_TONE, shown
from diagnostics.measurements.kept import outcome_of
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Capture, Measurement, Reading, Session
from diagnostics.queries.picture import ReadingSeen, seen
from shop import units
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class FigureSeen:
    """A figure that is shown and not judged."""

    name: str
    where: str
    shown: str
    reason: str


@dataclass(frozen=True, slots=True)
class JudgedSeen:
    """A figure that became a reading: its name with its place, and how it came about."""

    reading: ReadingSeen
    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class FindingSeen:
    """What a figure means, with the verdict whose shape and colour it gets."""

    verdict: str
    where: str
    says: str


@dataclass(frozen=True, slots=True)
class MeasurementSeen:
    """One measurement with all that was shown when it was made."""

    pk: int
    name: str
    where: str
    at: datetime
    by: str
    phase: str
    note: str
    verdict: str
    outcome: Outcome
    judged: tuple[JudgedSeen, ...]
    findings: tuple[FindingSeen, ...]
    figures: tuple[FigureSeen, ...]
    version: int
    version_now: int | None
    capture: Capture | None
    replaced: bool
    because: str

    @property
    def outdated(self) -> bool:
        """Whether the kind works it out differently today."""
        return self.version_now is not None and self.version_now != self.version


def measurements_of(session: Session) -> QuerySet[Measurement]:
    """Latest first, to be paged; `replaced` says whether another stands in its place."""
    gone = Measurement.objects.filter(replaces=OuterRef("pk"))
    rows = Measurement.objects.filter(session=session).select_related("by", "capture")
    return rows.annotate(replaced=Exists(gone)).order_by("-pk")


def seen_of(rows: Iterable[Measurement]) -> tuple[MeasurementSeen, ...]:
    """The rows of a page with their readings: one query, however many."""
    found = list(rows)
    readings: dict[int | None, list[Reading]] = {}
    for reading in Reading.objects.filter(measurement__in=[row.pk for row in found]).select_related(
        "quantity", "component__system", "by"
    ):
        readings.setdefault(reading.measurement_id, []).append(reading)
    return tuple(_seen(row, readings.get(row.pk, [])) for row in found)


def _seen(row: Measurement, readings: list[Reading]) -> MeasurementSeen:
    kind = KINDS.get(row.kind)
    outcome = outcome_of(row.outcome)
    return MeasurementSeen(
        pk=row.pk,
        name=kind.name if kind else row.kind,
        where=words.place(row.position),
        at=row.at,
        by=str(row.by),
        phase=row.phase,
        note=row.note,
        verdict=row.verdict,
        outcome=outcome,
        judged=tuple(_judged(outcome, readings, words.place(row.position))),
        findings=tuple(
            FindingSeen(VERDICT_OF_TONE[one.tone], _where(one, row), one.says)
            for one in outcome.findings
        ),
        figures=tuple(_figure(one) for one in outcome.figures if not one.keep),
        version=row.version,
        version_now=kind.version if kind else None,
        capture=row.capture,
        replaced=bool(getattr(row, "replaced", False)),
        because=row.replaced_because,
    )


def _judged(outcome: Outcome, readings: list[Reading], where: str) -> Iterator[JudgedSeen]:
    """The readings were made of the kept figures, in their order."""
    kept = [one for one in outcome.figures if one.keep]
    for figure, reading in zip(kept, sorted(readings, key=lambda row: row.pk), strict=True):
        place = words.place(reading.position)
        said = place.casefold() in f"{where} {figure.name}".casefold()
        name = figure.name if said else f"{figure.name}, {place}"
        yield JudgedSeen(seen(reading), name, figure.reason)


def _where(one: Finding, row: Measurement) -> str:
    """Where the finding is about; "" when it says so itself, or is about the whole."""
    place = words.place(one.position) if one.position != row.position else ""
    return "" if place.casefold() in one.says.casefold() else place


def _figure(one: Figure) -> FigureSeen:
    return FigureSeen(
        name=one.name,
        where=words.place(one.position),
        shown=units.with_unit(shown(one), one.unit),
        reason=one.reason,
    )


def get_measurement(actor: Actor, pk: int) -> Measurement:
    """With its session and capture. Raises Http404 for a stranger's."""
    gone = Measurement.objects.filter(replaces=OuterRef("pk"))
    row = (
        Measurement.objects.select_related(
            "session__vehicle__platform",
            "session__version__platform",
            "session__workshop",
            "component",
            "capture",
            "by",
        )
        .annotate(replaced=Exists(gone))
        .filter(pk=pk, session__workshop=actor.workshop)
        .order_by("pk")
        .first()
    )
    if row is None:
        raise Http404
    return row


def replacement_of(measurement: Measurement) -> int | None:
    """The pk of the measurement that stands in the place of this one."""
    rows = Measurement.objects.filter(replaces=measurement).values_list("pk", flat=True)
    return rows.first()


def captures_of(session: Session, own: Capture | None = None) -> list[Capture]:
    """The last files sent in this session, latest first and each once; `own` is among them
    however old."""
    latest: dict[str, Capture] = {}
    for row in Capture.objects.filter(session=session).order_by("-pk")[:20]:
        latest.setdefault(row.sha256, row)
    last = list(latest.values())
    return last if own is None or own in last else [*last, own]


def get_capture(actor: Actor, pk: int) -> Capture:
    """Raises Http404 for a stranger's."""
    row = Capture.objects.filter(pk=pk, session__workshop=actor.workshop).order_by("pk").first()
    if row is None:
        raise Http404
    return row


def kind_or_404(key: str) -> MeasurementKind:
    kind = KINDS.get(key)
    if kind is None:
        raise Http404
    return kind
