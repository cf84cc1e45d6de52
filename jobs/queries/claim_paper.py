"""A claim's document as its paper lays it out: by what a reader asks first."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import Phase
from jobs.claims.document import Answered, ClaimDocument, FlagsRead, Picture, Value
from jobs.models import Claim, ClaimAnswer, Payer
from jobs.queries.claim_document import photos_of
from jobs.queries.worked_papers import MARKS, WorkedPaper, worked_papers
from shop import units


@dataclass(frozen=True, slots=True)
class Shown:
    """One value with its verdict in word and shape."""

    name: str
    value: str
    verdict: str
    word: str
    mark: str
    said: Value


@dataclass(frozen=True, slots=True)
class FlagsShown:
    module: str
    flags: tuple[str, ...]
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class PhotoShown:
    picture: Picture
    source: str


@dataclass(frozen=True, slots=True)
class AnswerShown:
    said: Answered
    kind: str
    reason: str


@dataclass(frozen=True, slots=True)
class ClaimPaper:
    """`number` heads every page."""

    number: str
    document: ClaimDocument
    payer_words: str
    condemning: tuple[Shown, ...]
    beside: tuple[Shown, ...]
    after: tuple[Shown, ...]
    flags_before: tuple[FlagsShown, ...]
    flags_after: tuple[FlagsShown, ...]
    photos: tuple[PhotoShown, ...]
    worked: tuple[WorkedPaper, ...]
    answers: tuple[AnswerShown, ...]
    minutes: int
    wants_clock: bool
    days_left: str
    distance_left: str


def paper_of(claim: Claim, document: ClaimDocument) -> ClaimPaper:
    """The pictures are loaded here, and nowhere else."""
    found = document.readings
    before = [one for one in found if one.phase == Phase.AS_FOUND]
    conclusion = claim.complaint.conclusion
    covered = document.coverage
    return ClaimPaper(
        number=document.claim.number,
        document=document,
        payer_words=str(Payer(document.payer.kind).label),
        condemning=_shown(one for one in before if one.condemns),
        beside=_shown(one for one in before if not one.condemns),
        after=_shown(one for one in found if one.phase == Phase.AFTER_REPAIR),
        flags_before=_flags(document.flags, Phase.AS_FOUND),
        flags_after=_flags(document.flags, Phase.AFTER_REPAIR),
        photos=_photos(claim, document),
        worked=worked_papers(claim.complaint.order.session, carrying_only=conclusion)
        if conclusion
        else (),
        answers=tuple(
            AnswerShown(
                one,
                str(ClaimAnswer.Kind(one.kind).label),
                str(ClaimAnswer.Reason(one.reason).label) if one.reason else "",
            )
            for one in document.answers
        ),
        minutes=sum(one.minutes for one in document.clocked),
        wants_clock=claim.payer.wants_clock,
        days_left=_days_left(covered.days_left) if covered else "",
        distance_left=_distance_left(claim, covered.distance_left_m) if covered else "",
    )


def _shown(values: Iterable[Value]) -> tuple[Shown, ...]:
    return tuple(
        Shown(
            name=", ".join(filter(None, (one.quantity, _inside(one.component), one.position))),
            value="over range" if one.value is None else units.with_unit(one.typed, one.unit),
            verdict=one.verdict,
            word=VerdictKind(one.verdict).word,
            mark=MARKS[VerdictKind(one.verdict)],
            said=one,
        )
        for one in values
    )


def _inside(name: str) -> str:
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _flags(reads: Iterable[FlagsRead], phase: str) -> tuple[FlagsShown, ...]:
    return tuple(
        FlagsShown(
            read.module or "every module",
            tuple(
                f"{flag.code}{'-' + flag.failure_type if flag.failure_type else ''} "
                f"{flag.text}: {flag.status}".replace(" :", ":")
                for flag in read.flags
            ),
            read.by,
            read.at,
        )
        for read in reads
        if read.phase == phase
    )


def _photos(claim: Claim, document: ClaimDocument) -> tuple[PhotoShown, ...]:
    if not document.photos:
        return ()
    rows = photos_of(claim).select_related("contents")
    return tuple(
        PhotoShown(said, f"data:image/jpeg;base64,{b64encode(bytes(row.contents.jpeg)).decode()}")
        for said, row in zip(document.photos, rows, strict=True)
    )


def _days_left(days: int | None) -> str:
    if days is None:
        return ""
    left = "left" if days >= 0 else "over"
    return f"{abs(days)} {'day' if abs(days) == 1 else 'days'} {left}"


def _distance_left(claim: Claim, metres: int | None) -> str:
    if metres is None:
        return ""
    said = units.format_value(abs(metres), claim.workshop.distance_unit)
    return f"{said} {'left' if metres >= 0 else 'over'}"
