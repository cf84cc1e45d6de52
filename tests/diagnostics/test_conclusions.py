"""Concluding: what is at fault, and what shows it."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import Component, Conclusion, FailureMode, Session
from diagnostics.queries.evidence import candidates, evidence_of, evidence_words
from diagnostics.services import conclusions, flags, lamps, readings
from diagnostics.services.conclusions import Finding
from diagnostics.services.flags import FlagInput
from diagnostics.services.readings import Typed
from diagnostics.services.runs import Answer
from shop.actor import Actor
from shop.errors import Clash
from tests.asserts import counted, refused
from tests.diagnostics.at_the_bay import (
    AMBER_STEADY,
    a_reading,
    answered,
    at_the_resistance,
    measured,
)
from tests.factories import a_session


def the_hub(session: Session) -> Component:
    assert session.version is not None
    return Component.objects.get(platform=session.version.platform, key="hub_and_sensor")


def opens_when_moved(session: Session) -> Finding:
    """The conclusion of the walk-through job."""
    hub = the_hub(session)
    mode = FailureMode.objects.get(component=hub, key="open_when_moved")
    return Finding(component=hub, position="LR", failure_mode=mode)


def conclude(
    actor: Actor, session: Session, finding: Finding, *evidence: str, without: bool = False
) -> Conclusion:
    return conclusions.conclude(
        actor,
        session,
        act=uuid4(),
        finding=finding,
        evidence=evidence,
        without_evidence=without,
    )


def a_worked_session(actor: Actor) -> Session:
    """Lamps, a flag, a list answered by a value and a look, and a module with none stored."""
    session = a_session(actor)
    lamps.record(actor, session, act=uuid4(), observations=AMBER_STEADY)
    flags.record_read(
        actor, session, act=uuid4(), module="brake control", flags=[FlagInput("C0045")]
    )
    flags.record_read(actor, session, act=uuid4(), module="power steering", none_stored=True)
    run = at_the_resistance(actor, session)
    answered(actor, run, measured("OL"))
    answered(actor, run, Answer(outcome="kinked"))
    return session


def test_everything_recorded_may_be_evidence_in_the_order_it_was_recorded(ines: Actor) -> None:
    found = candidates(a_worked_session(ines))
    assert [one.kind for one in found] == ["lamps", "flag", "read", "reading", "step"]
    assert [one.judged for one in found] == ["bad", "bad", "good", "bad", "bad"]
    assert "over range" in found[3].words
    assert "Kinked" in found[4].words


def test_a_conclusion_keeps_exactly_the_evidence_that_was_chosen(ines: Actor) -> None:
    session = a_worked_session(ines)
    chosen = [one.key for one in candidates(session) if one.kind in ("reading", "step")]
    made = conclude(ines, session, opens_when_moved(session), *chosen)
    assert made.evidenced
    assert [one.key for one in evidence_words(made)] == chosen


def test_it_refuses_no_evidence_until_it_is_said_and_marks_it_then(ines: Actor) -> None:
    session = a_worked_session(ines)
    with refused(field="without_evidence", says="marked so everywhere"):
        conclude(ines, session, opens_when_moved(session))
    made = conclude(ines, session, opens_when_moved(session), without=True)
    assert not made.evidenced


def test_no_fault_found_needs_its_evidence_too(ines: Actor) -> None:
    session = a_session(ines)
    good = a_reading(ines, session)
    nothing = Finding(no_fault_found=True, words="Drove 20 km, lamp stayed dark")
    with refused(field="without_evidence", says="nothing was found"):
        conclude(ines, session, nothing)
    assert conclude(ines, session, nothing, f"reading:{good.pk}").evidenced


def test_it_refuses_evidence_of_another_session_and_takes_its_own(ines: Actor) -> None:
    session, other = a_session(ines), a_session(ines)
    strange, own = a_reading(ines, other, value="OL"), a_reading(ines, session, value="OL")
    with refused(field="evidence", says="no longer on record"):
        conclude(ines, session, opens_when_moved(session), f"reading:{strange.pk}")
    conclude(ines, session, opens_when_moved(session), f"reading:{own.pk}")


def test_it_refuses_a_reading_that_was_replaced_meanwhile_and_takes_the_new_one(
    ines: Actor,
) -> None:
    session = a_session(ines)
    old = a_reading(ines, session, value="141")
    new = readings.replace(
        ines, old, act=uuid4(), typed=Typed("OL", "kohm"), because="wrong range on the meter"
    )
    with refused(field="evidence", says="replaced"):
        conclude(ines, session, opens_when_moved(session), f"reading:{old.pk}")
    conclude(ines, session, opens_when_moved(session), f"reading:{new.pk}")


@pytest.mark.parametrize("key", ["reading:x", "nothing:1", "reading", ""])
def test_it_refuses_a_made_up_key_without_breaking(ines: Actor, key: str) -> None:
    session = a_worked_session(ines)
    with refused(field="evidence"):
        conclude(ines, session, opens_when_moved(session), key)
    conclude(ines, session, opens_when_moved(session), candidates(session)[0].key)


def test_it_refuses_a_place_the_component_does_not_have_and_takes_one_it_has(ines: Actor) -> None:
    session = a_session(ines)
    right = opens_when_moved(session)
    for wrong in ("", "LF"):
        finding = Finding(right.component, wrong, right.failure_mode)
        with refused(field="position", says="left rear or right rear"):
            conclude(ines, session, finding, without=True)
    conclude(ines, session, right, without=True)


def test_it_refuses_a_failure_mode_of_something_else_and_takes_its_own(ines: Actor) -> None:
    session = a_session(ines)
    right = opens_when_moved(session)
    other = FailureMode.objects.exclude(component=right.component).first()
    with refused(field="failure_mode", says="not a way"):
        conclude(ines, session, Finding(right.component, "LR", other), without=True)
    with refused(field="failure_mode", says="say how"):
        conclude(ines, session, Finding(right.component, "LR"), without=True)
    conclude(ines, session, Finding(right.component, "LR", words="Torn off"), without=True)


def test_it_refuses_neither_and_both_of_component_and_no_fault(ines: Actor) -> None:
    session = a_session(ines)
    with refused(field="component", says="name the component"):
        conclude(ines, session, Finding(), without=True)
    with refused(field="component", says="one or the other"):
        conclude(ines, session, Finding(the_hub(session), "LR", no_fault_found=True), without=True)
    conclude(ines, session, Finding(no_fault_found=True), without=True)


def test_a_later_conclusion_replaces_and_never_edits(ines: Actor, tomas: Actor) -> None:
    session = a_session(ines)
    first = conclude(ines, session, Finding(no_fault_found=True), without=True)

    def second() -> Conclusion:
        return conclusions.conclude(
            tomas,
            session,
            act=uuid4(),
            finding=opens_when_moved(session),
            without_evidence=True,
            replaces=first,
        )

    made = second()
    assert (made.replaces, Conclusion.objects.get(pk=first.pk).no_fault_found) == (first, True)
    with pytest.raises(Clash, match="already"):
        second()


def test_the_owner_may_not_conclude_and_the_technician_may(vera: Actor, ines: Actor) -> None:
    session = a_session(ines)
    with refused(says="technician or the service manager"):
        conclude(vera, session, Finding(no_fault_found=True), without=True)
    conclude(ines, session, Finding(no_fault_found=True), without=True)


def test_evidence_of_many_conclusions_costs_the_same_queries_as_of_one(ines: Actor) -> None:
    session = a_worked_session(ines)
    keys = [one.key for one in candidates(session)]
    made = [conclude(ines, session, opens_when_moved(session), *keys) for _ in range(4)]
    with counted() as one:
        evidence_of(made[:1])
    with counted() as four:
        evidence_of(made)
    assert len(one) == len(four)
