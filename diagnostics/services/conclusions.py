"""Concluding what is at fault, carried by what was recorded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from diagnostics import words
from diagnostics.models import Component, Conclusion, Evidence, FailureMode, Position, Session
from diagnostics.queries import evidence as recorded
from diagnostics.services import sessions
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts


@dataclass(frozen=True, slots=True)
class Finding:
    """What is at fault, where and how, or that no fault was found; `words` in addition."""

    component: Component | None = None
    position: str = ""
    failure_mode: FailureMode | None = None
    no_fault_found: bool = False
    words: str = ""


@transaction.atomic
def conclude(
    actor: Actor,
    session: Session,
    *,
    act: UUID | None,
    finding: Finding,
    evidence: Sequence[str] = (),
    without_evidence: bool = False,
    replaces: Conclusion | None = None,
) -> Conclusion:
    """Keep a conclusion with the records chosen to show it ("reading:12", "flag:3", ...).

    Without any it must be said so, and it is marked everywhere. Raises Refusal [component],
    [position], [failure_mode], [evidence], [without_evidence]; Clash when somebody replaced
    the earlier one first.
    """
    if act is not None:
        acts.claim(actor, act, "conclusion", about=session)
    sessions.check(actor, session, Permit.CONCLUDE)
    _check_finding(session, finding)
    chosen = _chosen(session, evidence, finding, without_evidence=without_evidence)
    if replaces is not None and Conclusion.objects.filter(replaces=replaces).exists():
        raise Clash("This conclusion was replaced already. The page now shows the one that stands.")
    conclusion = Conclusion.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        component=finding.component,
        position=finding.position,
        failure_mode=finding.failure_mode,
        no_fault_found=finding.no_fault_found,
        words=finding.words.strip(),
        evidenced=bool(chosen),
        replaces=replaces,
    )
    Evidence.objects.bulk_create(
        Evidence(conclusion=conclusion, **recorded.as_row(key)) for key in chosen
    )
    marked = "" if chosen else ", without evidence"
    sessions.write(
        actor,
        session,
        "conclusion",
        f"concluded: {words.inside(words.conclusion(conclusion))}{marked}",
    )
    return conclusion


def _check_finding(session: Session, finding: Finding) -> None:
    component = finding.component
    if finding.no_fault_found:
        if component is not None:
            raise Refusal(
                "“No fault found” names no component: choose one or the other.", field="component"
            )
        return
    if component is None:
        raise Refusal(
            "Name the component at fault, or say that no fault was found.", field="component"
        )
    if session.version is not None and component.platform_id != session.version.platform_id:
        raise Refusal(f"{component} is not fitted to this platform.", field="component")
    places = component.positions.split()
    if places and finding.position not in places:
        choices = " or ".join(str(Position(place).label) for place in places)
        raise Refusal(f"Say which one: {choices}.", field="position")
    if not places and finding.position:
        raise Refusal(f"{component} has only one place; leave it empty.", field="position")
    mode = finding.failure_mode
    if mode is None and not finding.words.strip():
        raise Refusal("Say how it failed.", field="failure_mode")
    if mode is not None and mode.component_id != component.pk:
        raise Refusal(f"“{mode}” is not a way in which a {component} fails.", field="failure_mode")


def _chosen(
    session: Session, evidence: Sequence[str], finding: Finding, *, without_evidence: bool
) -> list[str]:
    chosen = list(dict.fromkeys(evidence))
    if chosen:
        known = {candidate.key for candidate in recorded.candidates(session)}
        if not known.issuperset(chosen):
            raise Refusal(
                "Some of what you chose is no longer on record here; a reading may have been "
                "replaced. Choose again.",
                field="evidence",
            )
        return chosen
    if not without_evidence:
        what = "that nothing was found" if finding.no_fault_found else "it"
        raise Refusal(
            f"Choose what shows {what}, or say that you conclude without evidence; "
            "it is then marked so everywhere.",
            field="without_evidence",
        )
    return chosen
