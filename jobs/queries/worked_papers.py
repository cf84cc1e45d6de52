"""What was worked out for a job, as its papers show it: evidence with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import Capture, Conclusion, Evidence, Phase, Session
from diagnostics.queries.measurements import (
    FigureSeen,
    FindingSeen,
    JudgedSeen,
    MeasurementSeen,
    measurements_of,
    seen_of,
)
from shop.charting import Chart

MARKS = {
    VerdictKind.WITHIN: "●",
    VerdictKind.NEAR: "▲",
    VerdictKind.OUTSIDE: "■",
    VerdictKind.NOT_JUDGED: "–",
}
MOST_CHARTS = 2


@dataclass(frozen=True, slots=True)
class JudgedFigure:
    """A figure that was judged, with the words and the shape of its verdict."""

    name: str
    value: str
    verdict: str
    word: str
    mark: str
    allowed: str
    source: str


@dataclass(frozen=True, slots=True)
class MarkedFinding:
    """What the figures mean, with the shape of its verdict; `where` begins the sentence."""

    verdict: str
    mark: str
    where: str
    says: str


@dataclass(frozen=True, slots=True)
class WorkedPaper:
    """One measurement that stands, with its figures, its pictures and its origin."""

    name: str
    at: datetime
    by: str
    after_repair: bool
    says: str
    note: str
    judged: tuple[JudgedFigure, ...]
    findings: tuple[MarkedFinding, ...]
    figures: tuple[FigureSeen, ...]
    charts: tuple[Chart, ...]
    notes: tuple[str, ...]
    sources: tuple[str, ...]
    version: int
    capture: Capture | None
    because: str


def worked_papers(
    session: Session, *, carrying_only: Conclusion | None = None
) -> tuple[WorkedPaper, ...]:
    """What stands in a session, first made first; three queries, however much it is.

    `carrying_only` leaves out what carries nothing of that conclusion. Pictures are printed of what
    is not as it should be, and of what carries a conclusion.
    """
    standing = measurements_of(session).filter(replaced_by__isnull=True).order_by("pk")
    chosen = Evidence.objects.filter(reading__measurement__session=session)
    if carrying_only is not None:
        chosen = chosen.filter(conclusion=carrying_only)
    carrying = set(chosen.values_list("reading__measurement", flat=True))
    if carrying_only is not None:
        standing = standing.filter(pk__in=carrying)
    return tuple(_worked(one, pictured=one.pk in carrying) for one in seen_of(standing))


def _worked(one: MeasurementSeen, *, pictured: bool) -> WorkedPaper:
    pictured = pictured or one.verdict in (VerdictKind.OUTSIDE, VerdictKind.NEAR)
    return WorkedPaper(
        name=", ".join(part for part in (one.name, one.where) if part),
        at=one.at,
        by=one.by,
        after_repair=one.phase == Phase.AFTER_REPAIR,
        says=one.outcome.says,
        note=one.note,
        judged=tuple(_judged(figure) for figure in one.judged),
        findings=tuple(_finding(finding) for finding in one.findings),
        figures=one.figures,
        charts=one.outcome.charts[:MOST_CHARTS] if pictured else (),
        notes=one.outcome.notes,
        sources=tuple(_sentence(source) for source in one.outcome.sources),
        version=one.version,
        capture=one.capture,
        because=one.because,
    )


def _judged(one: JudgedSeen) -> JudgedFigure:
    reading, verdict = one.reading, VerdictKind(one.reading.verdict)
    return JudgedFigure(
        name=one.name,
        value=reading.shown,
        verdict=verdict,
        word=verdict.word,
        mark=MARKS[verdict],
        allowed=reading.allowed,
        source=reading.source,
    )


def _finding(one: FindingSeen) -> MarkedFinding:
    return MarkedFinding(one.verdict, MARKS[VerdictKind(one.verdict)], one.where, one.says)


def _sentence(text: str) -> str:
    """Set after others, a text needs its own full stop."""
    return text if text.endswith((".", "?", "!", "…")) else f"{text}."
