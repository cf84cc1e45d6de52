"""Who else may pay for complaints: what is known of each, what was promised, what follows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256

from django.utils import timezone

from jobs.coverage.deciding import Decision, decide
from jobs.coverage.facts import Facts, Objection, Reason
from jobs.coverage.judging import Judged, Outcome, judge
from jobs.coverage.terms import Term
from jobs.coverage.warning import ends_soon
from jobs.models import Complaint, CoverageDecision
from jobs.models import Objection as ObjectionRow
from jobs.queries.coverage_terms import Promised, promised_to
from shop import clock


@dataclass(frozen=True, slots=True)
class CoveragePicture:
    """`ending` are terms that may cover it and, as of today, end soon; `unit` says which
    unit failed, "" unknown; `kept` is the last decision that a person made."""

    complaint: Complaint
    facts: Facts
    terms: tuple[Term, ...]
    decision: Decision
    ending: tuple[Judged, ...]
    unit: str
    objections: tuple[ObjectionRow, ...]
    kept: CoverageDecision | None

    @property
    def seen(self) -> str:
        """What a person who decides has seen: changes when a fact or a term does."""
        return sha256(repr((self.facts, self.terms)).encode()).hexdigest()[:24]


def pictures(complaints: Collection[Complaint]) -> Mapping[int, CoveragePicture]:
    """By complaint. The number of queries is constant in the complaints."""
    rows = list(
        Complaint.objects.filter(pk__in=[one.pk for one in complaints]).select_related(
            "order__workshop",
            "order__vehicle__platform",
            "order__odometer_in",
            "order__session",
            "system",
            "conclusion__component__system",
            "conclusion__failure_mode",
        )
    )
    objections = _objections(rows)
    promised = promised_to(rows)
    kept = _kept(rows)
    return {
        row.pk: _picture(row, objections[row.pk], promised[row.pk], kept.get(row.pk))
        for row in rows
    }


def picture_of(complaint: Complaint) -> CoveragePicture:
    return pictures([complaint])[complaint.pk]


def _picture(
    complaint: Complaint,
    objections: list[ObjectionRow],
    promised: Promised,
    kept: CoverageDecision | None,
) -> CoveragePicture:
    facts = _facts(complaint, objections)
    terms = promised.terms
    decision = decide(facts, terms, unit=complaint.order.workshop.distance_unit)
    return CoveragePicture(
        complaint=complaint,
        facts=facts,
        terms=terms,
        decision=decision,
        ending=tuple(_ending(decision)),
        unit=promised.unit,
        objections=tuple(objections),
        kept=kept,
    )


def _ending(decision: Decision) -> Iterator[Judged]:
    """Terms that may cover the complaint and, as of today, end soon."""
    today = clock.today()
    for one in decision.judged:
        if one.outcome is not Outcome.NOT_COVERED:
            facts = replace(one.facts, on=max(one.facts.on, today))
            as_of_today = judge(one.term, facts, unit=one.unit)
            if ends_soon(as_of_today):
                yield as_of_today


def _facts(complaint: Complaint, objections: list[ObjectionRow]) -> Facts:
    """On the day the vehicle came in, with what is concluded by now."""
    order, concluded = complaint.order, complaint.conclusion
    component = concluded.component if concluded else None
    system = component.system if component else complaint.system
    mode = concluded.failure_mode if concluded else None
    return Facts(
        on=timezone.localtime(order.taken_in_at).date(),
        distance_m=order.odometer_in.distance_m,
        component=component.key if component else "",
        system=system.key if system else "",
        failure_mode=mode.key if mode else "",
        no_fault_found=bool(concluded and concluded.no_fault_found),
        objections=tuple(Objection(Reason(row.reason), row.words, row.shown) for row in objections),
    )


def _objections(rows: Collection[Complaint]) -> Mapping[int, list[ObjectionRow]]:
    found: dict[int, list[ObjectionRow]] = defaultdict(list)
    standing = ObjectionRow.objects.filter(complaint__in=rows, withdrawn_at=None)
    for row in standing.select_related("by").order_by("pk"):
        found[row.complaint_id].append(row)
    return found


def _kept(rows: Collection[Complaint]) -> Mapping[int, CoverageDecision]:
    """The last decision of each complaint. One query."""
    decisions = CoverageDecision.objects.filter(complaint__in=rows).select_related("by")
    return {row.complaint_id: row for row in decisions.order_by("pk")}
