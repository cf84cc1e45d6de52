"""What proves complaints: facts gathered for any number of them, and what is still missing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagnostics import words
from diagnostics.models import Component
from jobs.evidence.facts import Facts, Moment, Wants
from jobs.evidence.need import Checked, Need
from jobs.evidence.rules import checked
from jobs.models import Complaint, Payer
from jobs.queries.evidence_facts import Gathered, gathered
from jobs.queries.evidence_wants import wants_for
from jobs.stages import Stage

CLAIMED = frozenset(Payer.values) - {Payer.CUSTOMER, Payer.WORKSHOP}
_MOMENTS: Mapping[Stage, Moment] = {
    Stage.RECEIVED: Moment.TAKEN_IN,
    Stage.DIAGNOSING: Moment.DIAGNOSIS,
    Stage.AWAITING_AUTHORITY: Moment.DIAGNOSIS,
    Stage.AWAITING_ASSEMBLY: Moment.DIAGNOSIS,
    Stage.REPAIRING: Moment.REPAIR,
}


@dataclass(frozen=True, slots=True)
class Evidence:
    """The list of one complaint. `claimed`: somebody else is to pay as it stands now."""

    complaint: Complaint
    facts: Facts
    wants: Wants
    lines: tuple[Checked, ...]

    @property
    def claimed(self) -> bool:
        return self.complaint.payer in CLAIMED

    @property
    def needs(self) -> tuple[Need, ...]:
        """Everything that is missing, what is only advised among it."""
        return tuple(line.need for line in self.lines if line.need)

    @property
    def lacking(self) -> tuple[Need, ...]:
        """What is missing and could be refused for: without what is only advised."""
        return tuple(need for need in self.needs if not need.advised)

    @property
    def given(self) -> tuple[Checked, ...]:
        return tuple(line for line in self.lines if line.given)

    @property
    def now(self) -> tuple[Checked, ...]:
        """What is missing and can be given as the job stands."""
        return tuple(line for line in self.lines if line.need and not line.later)

    @property
    def later(self) -> tuple[Checked, ...]:
        return tuple(line for line in self.lines if line.later)


def evidence_of(
    complaints: Collection[Complaint], wants: Mapping[int, Wants] | None = None
) -> Mapping[int, Evidence]:
    """By complaint. The number of queries is constant in the complaints.

    `wants` by complaint come before what its workshop's payers of that kind ask for.
    """
    rows = list(
        Complaint.objects.filter(pk__in=[one.pk for one in complaints]).select_related(
            "order__odometer_in",
            "system",
            "conclusion__component__system",
            "conclusion__failure_mode",
        )
    )
    found = gathered(rows)
    asked = {**wants_for(rows, found), **(wants or {})}
    made = {}
    for row in rows:
        facts = _facts(row, found)
        made[row.pk] = Evidence(row, facts, asked[row.pk], checked(facts, asked[row.pk]))
    return made


def _facts(complaint: Complaint, found: Gathered) -> Facts:
    order, concluded = complaint.order, complaint.conclusion
    component = concluded.component if concluded else None
    mode = concluded.failure_mode if concluded else None
    tests = found.road_tests[order.pk]
    return Facts(
        moment=_MOMENTS.get(Stage(order.stage), Moment.PROVING),
        words=complaint.words,
        system=complaint.system.key if complaint.system else "",
        concluded=concluded is not None,
        no_fault_found=bool(concluded and concluded.no_fault_found),
        component=component.key if component else "",
        component_system=component.system.key if component else "",
        component_name=_named(component, concluded.position) if component and concluded else "",
        position=concluded.position if concluded else "",
        failure_mode=str(mode) if mode else "",
        correction=complaint.correction,
        limit_known=component is None or component.pk in found.with_limit,
        read_before=(order.session_id, "as_found") in found.reads,
        read_after=(order.session_id, "after_repair") in found.reads,
        flags=found.flags_of(complaint),
        readings=found.readings_of(complaint),
        looks=found.looks[complaint.conclusion_id],
        operations=found.operations[complaint.pk],
        clocked=complaint.pk in found.clocked,
        road_tests=len(tests),
        road_test_long_enough=any(tests),
        units=tuple(found.units[complaint.pk]),
        photos=tuple(found.photos[complaint.pk]),
        odometer_out=order.pk in found.odometer_out,
        authorised=complaint.decision == Complaint.Decision.AUTHORISED,
    )


def _named(component: Component, position: str) -> str:
    place = words.place(position)
    name = component.name[:1].lower() + component.name[1:]
    return f"{name}, {place}" if place else name
