"""A measurement that answers a step of a list, and what takes its place."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

import pytest

from diagnostics.measurements.outcome import Outcome
from diagnostics.models import Measurement, ProcedureRun, Session, Step
from diagnostics.services import measurements, runs
from diagnostics.services.measurements import AtStep, Taken
from diagnostics.services.steps import last_answer
from shop.actor import Actor
from shop.errors import Clash
from tests.asserts import refused
from tests.diagnostics.worked_out import taken
from tests.factories import a_session


def fluid(boiling: str = "172") -> Taken:
    typed = {"grade": "dot4", "boiling": boiling, "water": "2.8"}
    return taken(typed, kind="brake_fluid", position="")


def at(actor: Actor, session: Session, step: Step) -> AtStep:
    """A run of the step's list in which it is next, its caution read."""
    run = runs.begin(actor, session, act=uuid4(), procedure=step.procedure, corner="LR")
    ProcedureRun.objects.filter(pk=run.pk).update(current=step)
    run.refresh_from_db()
    if step.caution:
        runs.acknowledge(actor, run, act=uuid4(), revision=run.revision, step=step)
        run.refresh_from_db()
    return AtStep(run, step, run.revision)


@pytest.fixture
def session(ines: Actor) -> Session:
    return a_session(ines)


@pytest.fixture
def boiling_step(ines: Actor, session: Session) -> AtStep:
    steps = Step.objects.filter(procedure__version=session.version, works_out="brake_fluid")
    return at(ines, session, steps.get())


def answer(actor: Actor, there: AtStep) -> Measurement:
    return measurements.record(actor, there.run.session, act=uuid4(), taken=fluid(), at_step=there)


def test_what_is_put_right_must_still_answer_its_step(ines: Actor, boiling_step: AtStep) -> None:
    first = answer(ines, boiling_step)
    what = fluid("215")
    silent = replace(what.kind, work_out=lambda given, known: Outcome("Nothing to say."))
    with refused(says="gives no figure for"):
        measurements.replace(
            ines, first, act=uuid4(), taken=replace(what, kind=silent), because="wrong cup"
        )
    second = measurements.replace(ines, first, act=uuid4(), taken=what, because="wrong cup")
    result = last_answer(boiling_step.run, boiling_step.step)
    assert result is not None
    assert result.reading is not None
    assert result.reading.measurement == second


def test_a_step_answered_elsewhere_meanwhile_keeps_nothing(
    ines: Actor, boiling_step: AtStep
) -> None:
    stale = replace(boiling_step, revision=boiling_step.revision - 1)
    with pytest.raises(Clash):
        answer(ines, stale)
    assert not Measurement.objects.exists()
    assert answer(ines, boiling_step).pk


def test_a_step_that_asks_for_no_figure_takes_none(ines: Actor, session: Session) -> None:
    looking = Step.objects.filter(
        procedure__version=session.version, quantity=None, kind=Step.Kind.LOOK, position=""
    ).first()
    assert looking is not None
    with refused(says="asks for no figure"):
        answer(ines, at(ines, session, looking))
