"""What the tests of the Bay's acts have in common: lamps, a list in hand, a value typed."""

from __future__ import annotations

from uuid import uuid4

from diagnostics.models import Procedure, ProcedureRun, Quantity, Reading, Session, Step, StepResult
from diagnostics.services import readings, runs
from diagnostics.services.readings import ReadingInput
from diagnostics.services.runs import Answer, Measured
from diagnostics.telltales import Lamp, Observation, Shown, Situation
from shop.actor import Actor

CAUTION_STEP = "raise_the_car"
AMBER, RED = Lamp.AMBER_ANTILOCK, Lamp.RED_BRAKE
KEY_ON, RUNNING = Situation.KEY_ON, Situation.ENGINE_RUNNING


def lamp(which: Lamp, when: Situation, shown: Shown) -> Observation:
    return Observation(which, when, shown)


NORMAL = (
    lamp(AMBER, KEY_ON, Shown.STEADY),
    lamp(RED, KEY_ON, Shown.STEADY),
    lamp(AMBER, RUNNING, Shown.DARK),
    lamp(RED, RUNNING, Shown.DARK),
)
AMBER_STEADY = (
    lamp(AMBER, KEY_ON, Shown.STEADY),
    lamp(RED, KEY_ON, Shown.STEADY),
    lamp(AMBER, RUNNING, Shown.STEADY),
    lamp(RED, RUNNING, Shown.DARK),
)
BOTH_STEADY = (lamp(AMBER, RUNNING, Shown.STEADY), lamp(RED, RUNNING, Shown.STEADY))


def a_reading(
    actor: Actor,
    session: Session,
    *,
    value: str = "1.39",
    unit: str = "kohm",
    quantity: str = "sensor_resistance",
    position: str = "LR",
    temperature: str = "20",
    engine: str = "",
    tool: str = "",
    pressure: str = "",
    sure: bool = False,
    unjudged: bool = False,
) -> Reading:
    """A value outside any list; by default a good rear sensor of platform PL2."""
    taken = ReadingInput(
        quantity=Quantity.objects.get(key=quantity),
        value=value,
        unit=unit,
        position=position,
        temperature=temperature,
        engine=engine,
        tool=tool,
        pressure=pressure,
        sure=sure,
        unjudged=unjudged,
    )
    return readings.record(actor, session, act=uuid4(), taken=taken)


def a_run(
    actor: Actor, session: Session, *, key: str = "wheel_speed_circuit", corner: str = "LR"
) -> ProcedureRun:
    procedure = Procedure.objects.get(version=session.version, key=key)
    return runs.begin(actor, session, act=uuid4(), procedure=procedure, corner=corner)


def at_the_resistance(actor: Actor, session: Session, corner: str = "LR") -> ProcedureRun:
    """The wheel-speed list with its first caution read: the sensor's resistance is next."""
    run = a_run(actor, session, corner=corner)
    assert run.current is not None
    runs.acknowledge(actor, run, act=uuid4(), revision=run.revision, step=run.current)
    return run


def measured(value: str = "1.39", *, unit: str = "kohm", temperature: str = "20") -> Answer:
    return Answer(reading=Measured(value, unit, temperature))


def answered(actor: Actor, run: ProcedureRun, answer: Answer) -> StepResult:
    """The answer at the step that is next."""
    assert run.current is not None
    return runs.answer(
        actor, run, act=uuid4(), revision=run.revision, step=run.current, answer=answer
    )


def step_of(run: ProcedureRun, key: str) -> Step:
    return run.procedure.steps.get(key=key)


def now_at(run: ProcedureRun) -> str:
    """Key of the step that is next, "" when the list is done."""
    run.refresh_from_db()
    return run.current.key if run.current else ""
