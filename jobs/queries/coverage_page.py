"""What a person sees of coverage: on the job, on the page where it is decided, a year later."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.coverage.deciding import NOTHING, Decision
from jobs.coverage.facts import Missing
from jobs.coverage.judging import Judged, Outcome
from jobs.coverage.why import Why
from jobs.models import Complaint, CoverageDecision, Objection, Payer
from jobs.queries.coverage import CoveragePicture, pictures
from shop.actor import Actor
from shop.units import format_value

# Facts that are entered where a complaint is concluded; all others stand at the vehicle.
_CONCLUDED = frozenset({"the component at fault", "how it failed", "the system of the component"})
IN_SERVICE = "the in-service date"
_AT_THE_VEHICLE = frozenset({Why.BEFORE_ITS_START, Why.ODOMETER_LOWER})


@dataclass(frozen=True, slots=True)
class Lack:
    """A fact that nobody found, and the page on which it is entered.

    `place` is "conclude", "vehicle-edit" or "vehicle".
    """

    sentence: str
    place: str


@dataclass(frozen=True, slots=True)
class TermLine:
    """One term as it was judged, with what of it is left in words."""

    name: str
    kind: str
    outcome: str
    because: str
    source: str
    last_day: date | None
    left: str
    percent: Decimal
    deductible: Decimal
    decided: bool = False
    lacks: tuple[str, ...] = ()

    @property
    def payer(self) -> str:
        return str(Payer(self.kind).label)


@dataclass(frozen=True, slots=True)
class CoverLine:
    """One complaint in short: the outcome, what it rests on, who pays in which order."""

    complaint: Complaint
    outcome: str
    decided: TermLine | None
    because: str
    payers: tuple[TermLine, ...]
    ending: tuple[TermLine, ...]
    lacks: tuple[Lack, ...]
    kept: CoverageDecision | None
    differs: bool

    @property
    def line(self) -> int:
        return self.complaint.line

    @property
    def warns(self) -> str:
        """What ends soon, as one sentence; "" where nothing does."""
        return "; ".join(f"{one.name}: {one.left}" for one in self.ending)


@dataclass(frozen=True, slots=True)
class WhoPays:
    """The page on which one complaint is decided."""

    picture: CoveragePicture
    short: CoverLine
    terms: tuple[TermLine, ...]
    distance: str
    withdrawn: tuple[Objection, ...]
    earlier: tuple[CoverageDecision, ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """A decision as it was made, with the facts of then."""

    decision: CoverageDecision
    terms: tuple[TermLine, ...]
    distance: str
    later: CoverageDecision | None


def cover_lines(complaints: Collection[Complaint]) -> tuple[CoverLine, ...]:
    """In the order of the complaints; the number of queries is constant."""
    found = pictures(complaints)
    return tuple(short_of(found[row.pk]) for row in complaints)


def ending_for(complaints: Iterable[Complaint]) -> Mapping[int, str]:
    """What ends soon, by order: of complaints that are not declined. Constant queries."""
    open_ones = [row for row in complaints if row.decision != Complaint.Decision.DECLINED]
    said: dict[int, list[str]] = defaultdict(list)
    for picture in pictures(open_ones).values():
        unit = picture.complaint.order.workshop.distance_unit
        for one in picture.ending:
            line = _term(one, unit)
            said[picture.complaint.order_id].append(f"{line.name}: {line.left}")
    return {order: "; ".join(dict.fromkeys(lines)) for order, lines in said.items()}


def short_of(picture: CoveragePicture) -> CoverLine:
    decision, complaint = picture.decision, picture.complaint
    unit = complaint.order.workshop.distance_unit
    decided = decision.decided
    covered = (one for one in decision.judged if one.outcome is Outcome.COVERED)
    return CoverLine(
        complaint=complaint,
        outcome=decision.outcome,
        decided=_term(decided, unit) if decided else None,
        because=decided.because if decided else NOTHING,
        payers=tuple(_term(one, unit) for one in covered),
        ending=tuple(_term(one, unit) for one in picture.ending),
        lacks=tuple(_lacks(decision)),
        kept=picture.kept,
        differs=picture.kept is not None and _moved_on(picture.kept, decision),
    )


def who_pays(picture: CoveragePicture) -> WhoPays:
    complaint = picture.complaint
    unit = complaint.order.workshop.distance_unit
    decided = picture.decision.decided
    withdrawn = Objection.objects.filter(complaint=complaint, withdrawn_at__isnull=False)
    return WhoPays(
        picture=picture,
        short=short_of(picture),
        terms=tuple(_term(one, unit, one is decided) for one in picture.decision.judged),
        distance=_distance(picture.facts.distance_m, unit),
        withdrawn=tuple(withdrawn.select_related("by")),
        earlier=tuple(decisions_of(complaint).order_by("-pk")),
    )


def decisions_of(complaint: Complaint) -> QuerySet[CoverageDecision]:
    rows: QuerySet[CoverageDecision] = CoverageDecision.objects.filter(complaint=complaint)
    return rows.select_related("by")


def kept_of(complaint: Complaint, key: int) -> Kept:
    """A decision of this complaint, 404 otherwise."""
    row = decisions_of(complaint).filter(pk=key).first()
    if row is None:
        raise Http404
    unit = complaint.order.workshop.distance_unit
    terms = tuple(
        TermLine(
            name=one.name,
            kind=one.kind,
            outcome=one.outcome,
            because=one.because,
            source=one.source,
            last_day=one.last_day,
            left=left_words(one.days_left, one.distance_left_m, unit),
            percent=one.percent,
            deductible=one.deductible,
            decided=one.decided,
            lacks=tuple(one.missing.splitlines()),
        )
        for one in row.judgements.all()
    )
    later = decisions_of(complaint).filter(pk__gt=row.pk).order_by("pk").first()
    return Kept(row, terms, _distance(row.seen_at_m, unit), later)


def get_objection(actor: Actor, complaint: Complaint, key: int) -> Objection:
    row = Objection.objects.of(actor).filter(complaint=complaint, pk=key).first()
    if row is None:
        raise Http404
    row.complaint = complaint
    found: Objection = row
    return found


def left_words(days: int | None, metres: int | None, unit: str) -> str:
    """Days and distance left, or by how much they are exceeded; "" without any limit."""
    said = []
    if days is not None:
        count = abs(days)
        left = ngettext("%(count)s day left", "%(count)s days left", count)
        over = ngettext("%(count)s day over", "%(count)s days over", count)
        said.append((over if days < 0 else left) % {"count": count})
    if metres is not None:
        far = _distance(abs(metres), unit)
        said.append((_("%(far)s over") if metres < 0 else _("%(far)s left")) % {"far": far})
    return ", ".join(said)


# ------------------------------------------------------------------ pieces


def _term(one: Judged, unit: str, decided: bool = False) -> TermLine:
    return TermLine(
        name=one.term.name,
        kind=one.term.kind,
        outcome=one.outcome,
        because=one.because,
        source=one.term.source,
        last_day=one.last_day,
        left=left_words(one.days_left, one.distance_left_m, unit),
        percent=one.term.percent,
        deductible=one.term.deductible,
        decided=decided,
        lacks=tuple(missing.sentence for missing in one.missing),
    )


def _distance(metres: int | None, unit: str) -> str:
    return "" if metres is None else format_value(float(metres), unit, decimals=0)


def _lacks(decision: Decision) -> Iterable[Lack]:
    for missing in decision.missing:
        yield Lack(missing.sentence, _place(missing))
    decided = decision.decided
    if decided is not None and decided.why in _AT_THE_VEHICLE:
        yield Lack(
            _("Look at the vehicle’s dates and distances, and put right what is wrong."), "vehicle"
        )


def _place(missing: Missing) -> str:
    if missing.fact in _CONCLUDED:
        return "conclude"
    return "vehicle-edit" if missing.fact == IN_SERVICE else "vehicle"


def _moved_on(kept: CoverageDecision, decision: Decision) -> bool:
    """Do the rules say something else now than when the person decided?"""
    return (kept.outcome, kept.because) != (str(decision.outcome), decision.because)
