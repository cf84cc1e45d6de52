"""What the job card and the finished repair order say, gathered for one order."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics import words
from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import FlagRead, LampCheck, Phase, Reading, Session
from diagnostics.queries.evidence import Candidate, evidence_of
from jobs.cautions import Caution, cautions_for
from jobs.models import (
    Authority,
    Complaint,
    RepairOrder,
    Replacement,
    RoadTest,
    UnsafeMark,
)
from jobs.queries import estimate as estimates
from jobs.queries.worked_papers import MARKS, WorkedPaper, worked_papers
from jobs.stages import Stage
from shop.actor import Actor
from shop.models import OdometerReading


@dataclass(frozen=True, slots=True)
class ReadingShown:
    """One value with its verdict: word and shape, never colour alone."""

    value: str
    verdict: str
    word: str
    mark: str


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """Readings of one quantity at one place: as found, after repair, and what was allowed."""

    name: str
    before: tuple[ReadingShown, ...]
    after: tuple[ReadingShown, ...]
    allowed: str
    conditions: str
    source: str


@dataclass(frozen=True, slots=True)
class FlagsSeen:
    """`read` is False when nobody read the memories in this phase."""

    read: bool
    flags: tuple[str, ...]
    modules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LampsSeen:
    says: str
    observations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Measured:
    """What was recorded on the vehicle, as found and after the repair."""

    readings: tuple[ReadingRow, ...]
    flags_before: FlagsSeen
    flags_after: FlagsSeen
    lamps_before: LampsSeen | None
    lamps_after: LampsSeen | None


@dataclass(frozen=True, slots=True)
class ComplaintPaper:
    complaint: Complaint
    cause: str
    unevidenced: bool
    evidence: tuple[Candidate, ...]
    lines: tuple[estimates.SheetLine, ...]


@dataclass(frozen=True, slots=True)
class RepairPaper:
    """Everything that the finished repair order prints."""

    order: RepairOrder
    finished: bool
    complaints: tuple[ComplaintPaper, ...]
    measured: Measured
    worked: tuple[WorkedPaper, ...]
    estimate: estimates.EstimateSheet
    fitted: tuple[Replacement, ...]
    authorities: tuple[Authority, ...]
    road_tests: tuple[RoadTest, ...]
    unsafe_marks: tuple[UnsafeMark, ...]
    odometer_out: OdometerReading | None
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class CardPaper:
    """Everything that the job card prints."""

    order: RepairOrder
    complaints: tuple[Complaint, ...]
    measured: Measured
    worked: tuple[WorkedPaper, ...]
    unsafe_marks: tuple[UnsafeMark, ...]
    cautions: tuple[Caution, ...]


def order_for_paper(actor: Actor, number: str) -> RepairOrder | None:
    found: RepairOrder | None = (
        RepairOrder.objects.of(actor)
        .filter(number=number)
        .select_related(
            "workshop",
            "vehicle__platform",
            "customer",
            "bay",
            "technician",
            "odometer_in",
            "session__version__platform",
            "taken_in_by",
            "closed_by",
        )
        .first()
    )
    return found


def job_card(order: RepairOrder) -> CardPaper:
    complaints = estimates.complaints_of(order)
    return CardPaper(
        order=order,
        complaints=tuple(complaints),
        measured=measured(order.session),
        worked=worked_papers(order.session),
        unsafe_marks=_marks(order),
        cautions=cautions_for(_systems(complaints, [])),
    )


def repair_paper(order: RepairOrder) -> RepairPaper:
    sheet = estimates.sheet(order)
    complaints = [one.complaint for one in sheet.complaints]
    replacements = [
        line.row
        for one in sheet.complaints
        for line in one.lines
        if isinstance(line.row, Replacement)
    ]
    return RepairPaper(
        order=order,
        finished=order.stage == Stage.RELEASED,
        complaints=_complaint_papers(sheet),
        measured=measured(order.session),
        worked=worked_papers(order.session),
        estimate=sheet,
        fitted=_fitted(order),
        authorities=tuple(
            answer for given in reversed(sheet.given) for answer in given.answers.all()
        ),
        road_tests=tuple(order.road_tests.select_related("by", "odometer")),
        unsafe_marks=_marks(order),
        odometer_out=odometer_out(order),
        cautions=cautions_for(_systems(complaints, replacements)),
    )


def measured(session: Session) -> Measured:
    """Readings, flags and lamps of a session; the number of queries is constant."""
    reads = list(FlagRead.objects.filter(session=session).prefetch_related("flags__definition"))
    checks = list(LampCheck.objects.filter(session=session).prefetch_related("observations"))
    return Measured(
        readings=_reading_rows(session),
        flags_before=_flags([read for read in reads if read.phase == Phase.AS_FOUND], last=False),
        flags_after=_flags([read for read in reads if read.phase == Phase.AFTER_REPAIR], last=True),
        lamps_before=_lamps([one for one in checks if one.phase == Phase.AS_FOUND][:1]),
        lamps_after=_lamps([one for one in checks if one.phase == Phase.AFTER_REPAIR][-1:]),
    )


def _reading_rows(session: Session) -> tuple[ReadingRow, ...]:
    rows: dict[tuple[int, int | None, str], list[Reading]] = {}
    standing = Reading.objects.standing().filter(session=session)
    for reading in standing.select_related("quantity", "component").order_by("at", "pk"):
        key = (reading.quantity_id, reading.component_id, reading.position)
        rows.setdefault(key, []).append(reading)
    return tuple(_reading_row(readings) for readings in rows.values())


def _reading_row(readings: list[Reading]) -> ReadingRow:
    judged = [reading for reading in readings if reading.limit_source] or readings
    said = judged[-1]
    place = words.place(said.position)
    component = _within_a_line(str(said.component)) if said.component else ""
    return ReadingRow(
        name=", ".join(part for part in (str(said.quantity), component, place) if part),
        before=tuple(_shown(one) for one in readings if one.phase == Phase.AS_FOUND),
        after=tuple(_shown(one) for one in readings if one.phase == Phase.AFTER_REPAIR)[-1:],
        allowed=words.allowed(said),
        conditions=said.limit_conditions,
        source=said.limit_source,
    )


def _within_a_line(name: str) -> str:
    """A name that stood at the beginning of a line, inside one."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _shown(reading: Reading) -> ReadingShown:
    verdict = VerdictKind(reading.verdict)
    return ReadingShown(words.value(reading), verdict, verdict.word, MARKS[verdict])


def _flags(reads: list[FlagRead], *, last: bool) -> FlagsSeen:
    """As found: all that was seen. After the repair: what the last reading of each module had."""
    if last:
        reads = list({read.module: read for read in reads}.values())
    seen = {words.code(flag): words.flag(flag) for read in reads for flag in read.flags.all()}
    return FlagsSeen(bool(reads), tuple(seen.values()), tuple({read.module: 0 for read in reads}))


def _lamps(checks: list[LampCheck]) -> LampsSeen | None:
    if not checks:
        return None
    seen = tuple(words.lamp(observation) for observation in checks[0].observations.all())
    return LampsSeen(checks[0].says, seen)


def _complaint_papers(sheet: estimates.EstimateSheet) -> tuple[ComplaintPaper, ...]:
    conclusions = [one.complaint.conclusion for one in sheet.complaints if one.complaint.conclusion]
    evidence = evidence_of(conclusions)
    return tuple(
        ComplaintPaper(
            one.complaint,
            words.conclusion(one.complaint.conclusion) if one.complaint.conclusion else "",
            bool(one.complaint.conclusion and not one.complaint.conclusion.evidenced),
            evidence.get(one.complaint.conclusion_id or 0, ()),
            one.lines,
        )
        for one in sheet.complaints
    )


def _fitted(order: RepairOrder) -> tuple[Replacement, ...]:
    rows = Replacement.objects.filter(
        complaint__order=order, state=Replacement.State.FITTED
    ).select_related("component", "complaint", "unit_off", "unit_on", "fitted_by", "held_part")
    return tuple(rows.order_by("fitted_at", "pk"))


def _marks(order: RepairOrder) -> tuple[UnsafeMark, ...]:
    return tuple(order.unsafe_marks.select_related("raised_by", "lifted_by"))


def odometer_out(order: RepairOrder) -> OdometerReading | None:
    """The last distance seen during the visit; None while only the first is known."""
    rows = OdometerReading.objects.filter(
        vehicle=order.vehicle_id, read_at__gte=order.odometer_in.read_at
    ).exclude(pk=order.odometer_in_id)
    if order.closed_at:
        rows = rows.filter(read_at__lte=order.closed_at)
    return rows.order_by("-read_at", "-pk").first()


def _systems(complaints: list[Complaint], replacements: list[Replacement]) -> set[str]:
    found = {complaint.system.key for complaint in complaints if complaint.system}
    return found | {replacement.component.system.key for replacement in replacements}
