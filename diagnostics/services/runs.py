"""Working through a procedure, one step at a time."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import F

from diagnostics import words
from diagnostics.models import (
    FlagRead,
    Procedure,
    ProcedureRun,
    Reading,
    Session,
    Step,
    StepOutcome,
    StepResult,
)
from diagnostics.places import CORNERS, resolve
from diagnostics.services import readings, sessions, steps
from diagnostics.services.readings import ReadingInput, Typed
from diagnostics.services.steps import Answered
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import acts

Measured = Typed


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered at a step: the key of an outcome, or a measured value."""

    outcome: str = ""
    reading: Measured | None = None
    note: str = ""


@transaction.atomic
def begin(
    actor: Actor, session: Session, *, act: UUID | None, procedure: Procedure, corner: str = ""
) -> ProcedureRun:
    """Start a list at its first step; one begun and not finished in this phase goes on instead.

    Without a corner the flags choose it when all that were read name the same one.
    """
    if act is not None:
        acts.claim(actor, act, "run", about=(session, procedure))
    sessions.check(actor, session)
    if procedure.version_id != session.version_id:
        raise Refusal("That list is not on this vehicle's pages.", field="procedure")
    unfinished = ProcedureRun.objects.filter(
        session=session, procedure=procedure, phase=session.phase, finished_at=None
    )
    known = unfinished.select_related("procedure", "current").last()
    if known is not None:
        return known
    run = ProcedureRun.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        procedure=procedure,
        current=Step.objects.filter(procedure=procedure).order_by("number").first(),
        corner=_corner(corner) or _corner_by_flags(session),
    )
    sessions.write(actor, session, "run", f"began “{procedure.title}”")
    return run


@transaction.atomic
def choose_corner(
    actor: Actor, run: ProcedureRun, *, act: UUID | None, revision: int, corner: str
) -> None:
    """Say which corner is suspected; what was measured at another keeps its own position."""
    if act is not None:
        acts.claim(actor, act, "corner", about=run)
    sessions.check(actor, run.session)
    chosen = _corner(corner)
    if not chosen:
        raise Refusal("Touch the corner that the flag or the complaint points at.", field="corner")
    moved = ProcedureRun.objects.filter(pk=run.pk, revision=revision).update(
        corner=chosen, revision=F("revision") + 1
    )
    if not moved:
        raise Clash(steps.MOVED_ELSEWHERE)
    run.corner, run.revision = chosen, revision + 1
    said = f"suspects the {words.place(chosen)} corner"
    sessions.write(actor, run.session, "step", said)


@transaction.atomic
def acknowledge(
    actor: Actor, run: ProcedureRun, *, act: UUID | None, revision: int, step: Step
) -> StepResult:
    """Keep that this person read the caution; a step that is nothing else then leads on."""
    if act is not None:
        acts.claim(actor, act, "caution", about=(run, step))
    _check_place(actor, run, step)
    if not step.caution:
        raise Refusal("This step has no caution to acknowledge.")
    outcome = None
    onward = run.current
    if step.kind == Step.Kind.CAUTION:
        outcome = StepOutcome.objects.filter(step=step).select_related("goto").first()
        onward = _onward(run, step, outcome)
    steps.go_to(run, onward, revision=revision)
    result = steps.keep(actor, run, step, Answered(outcome=outcome, acknowledged=True))
    sessions.write(actor, run.session, "step", f"acknowledged the caution of “{step.title}”")
    return result


@transaction.atomic
def answer(
    actor: Actor, run: ProcedureRun, *, act: UUID | None, revision: int, step: Step, answer: Answer
) -> StepResult:
    """Keep the answer at the step that is next, or anew at one already answered, and go on.

    Raises Refusal when its caution was not acknowledged by this person, when the step's turn
    has not come, [outcome] [value] [corner] and so on for what was typed; Clash when the run
    moved on another tablet.
    """
    if act is not None:
        acts.claim(actor, act, "step", about=(run, step))
    position = ready(actor, run, step)
    if step.quantity_id is not None:
        reading = _measure(actor, run, step, position, answer.reading)
        return settle(actor, run, step, revision=revision, reading=reading, note=answer.note)
    outcome = _chosen(step, answer.outcome)
    return settle(actor, run, step, revision=revision, outcome=outcome, note=answer.note)


def ready(actor: Actor, run: ProcedureRun, step: Step) -> str:
    """Where the step is answered: its position. Refused while its turn has not come, its caution
    was not acknowledged by this person, or the corner it speaks of is not chosen."""
    _check_place(actor, run, step)
    if step.kind == Step.Kind.CAUTION:
        raise Refusal("A caution is acknowledged, not answered.")
    _check_caution(actor, run, step)
    position = resolve(step.position, run.corner)
    if position is None:
        raise Refusal("Choose the suspected corner first; this step speaks of it.", field="corner")
    return position


def settle(
    actor: Actor,
    run: ProcedureRun,
    step: Step,
    *,
    revision: int,
    outcome: StepOutcome | None = None,
    reading: Reading | None = None,
    note: str = "",
) -> StepResult:
    """Keep the answer of a step that was `ready` and go on; a reading answers by its verdict."""
    if reading is not None:
        outcome = steps.outcome_of_verdict(step, reading.verdict)
        said = words.inside(words.reading(reading))
    else:
        said = words.inside(outcome.label) if outcome else ""
    steps.go_to(run, _onward(run, step, outcome), revision=revision)
    kept = Answered(outcome=outcome, reading=reading, note=note, acknowledged=bool(step.caution))
    result = steps.keep(actor, run, step, kept)
    sessions.write(
        actor, run.session, "step", f"answered “{step.title}”: {said}", reason=note.strip()
    )
    return result


@transaction.atomic
def skip(
    actor: Actor, run: ProcedureRun, *, act: UUID | None, revision: int, step: Step, because: str
) -> StepResult:
    """Leave a step out, with the reason, and go to the one after it."""
    if act is not None:
        acts.claim(actor, act, "skip", about=(run, step))
    _check_place(actor, run, step)
    if step.kind == Step.Kind.CAUTION:
        raise Refusal("A caution cannot be left out: what follows relies on it.", field="because")
    reason = because.strip()[:200]
    if not reason:
        raise Refusal("Say why this step is left out; it is kept with the job.", field="because")
    steps.go_to(run, steps.after(step, None), revision=revision)
    result = steps.keep(actor, run, step, Answered(skipped_because=reason))
    sessions.write(actor, run.session, "step", f"left out “{step.title}”", reason)
    return result


@transaction.atomic
def back(actor: Actor, run: ProcedureRun, *, act: UUID | None, revision: int, step: Step) -> None:
    """Make a step already answered the next one again; its answer stands until a new one."""
    if act is not None:
        acts.claim(actor, act, "back", about=(run, step))
    _check_place(actor, run, step)
    steps.go_to(run, step, revision=revision)
    sessions.write(actor, run.session, "step", f"went back to “{step.title}”")


def _check_place(actor: Actor, run: ProcedureRun, step: Step) -> None:
    sessions.check(actor, run.session)
    if run.current_id == step.pk:
        return
    if step.procedure_id != run.procedure_id:
        raise Refusal("That step is not on this list.")
    if steps.last_answer(run, step) is None:
        if run.current is None:
            raise Refusal("This list is finished. Begin it again to answer a step left out.")
        raise Refusal(
            f"Steps come one at a time: “{run.current.title}” is next. "
            "Answer it, or leave it out with a reason."
        )


def _check_caution(actor: Actor, run: ProcedureRun, step: Step) -> None:
    if not step.caution:
        return
    read = StepResult.objects.filter(run=run, step=step, by=actor.user, acknowledged=True)
    if not read.exists():
        raise Refusal(f"Read and acknowledge the caution first: {step.caution}")


def _onward(run: ProcedureRun, step: Step, outcome: StepOutcome | None) -> Step | None:
    """Where the answer leads; a step answered anew turns the run only if its way changes."""
    onward = steps.after(step, outcome)
    if run.current_id == step.pk:
        return onward
    before = steps.last_answer(run, step)
    same_way = before is not None and steps.after(step, before.outcome) == onward
    return run.current if same_way else onward


def _measure(
    actor: Actor, run: ProcedureRun, step: Step, position: str, typed: Measured | None
) -> Reading:
    if typed is None or step.quantity is None:
        raise Refusal("Type what was measured.", field="value")
    taken = ReadingInput.of(typed, step.quantity, step.component, position)
    return readings.take(actor, run.session, taken)


def _chosen(step: Step, key: str) -> StepOutcome:
    rows = StepOutcome.objects.filter(step=step, key=key).order_by("pk")
    outcome = rows.select_related("goto").first()
    if outcome is None:
        raise Refusal("Choose one of the answers.", field="outcome")
    return outcome


def _corner(typed: str) -> str:
    if typed and typed not in CORNERS:
        raise Refusal("Choose one of the four corners.", field="corner")
    return typed


def _corner_by_flags(session: Session) -> str:
    """The one corner that every read flag with a place speaks of, "" when they differ."""
    last = FlagRead.objects.filter(session=session, none_stored=False).last()
    if last is None:
        return ""
    named = {
        flag.definition.position
        for flag in last.flags.select_related("definition")
        if flag.definition is not None and flag.definition.position in CORNERS
    }
    return named.pop() if len(named) == 1 else ""
