"""Keeping an answer at a step and moving its run on: what runs and readings both need."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, Q

from diagnostics.models import ProcedureRun, Reading, Step, StepOutcome, StepResult
from shop import clock
from shop.actor import Actor
from shop.errors import Clash

IS_ANSWER = (
    Q(outcome__isnull=False)
    | Q(reading__isnull=False)
    | ~Q(skipped_because="")
    | Q(step__kind=Step.Kind.CAUTION, acknowledged=True)
)
MOVED_ELSEWHERE = (
    "Somebody went on with this list on another tablet. The page now shows where it stands; "
    "look before you answer again."
)


def outcome_of_verdict(step: Step, verdict: str) -> StepOutcome | None:
    rows = StepOutcome.objects.filter(step=step, key=verdict).order_by("pk")
    return rows.select_related("goto").first()


def after(step: Step, outcome: StepOutcome | None) -> Step | None:
    """The step that an outcome leads to: None when the list ends there."""
    if outcome is not None and outcome.ends:
        return None
    if outcome is not None and outcome.goto is not None:
        return outcome.goto
    following = Step.objects.filter(procedure=step.procedure_id, number__gt=step.number)
    return following.order_by("number").first()


def last_answer(run: ProcedureRun, step: Step) -> StepResult | None:
    """What stands at a step of a run; acknowledging its caution alone is no answer."""
    return (
        StepResult.objects.filter(run=run, step=step)
        .filter(IS_ANSWER)
        .select_related("outcome__goto")
        .order_by("pk")
        .last()
    )


@dataclass(frozen=True, slots=True)
class Answered:
    """What is kept of an answer."""

    outcome: StepOutcome | None = None
    reading: Reading | None = None
    note: str = ""
    skipped_because: str = ""
    acknowledged: bool = False


def keep(actor: Actor, run: ProcedureRun, step: Step, answered: Answered) -> StepResult:
    session = run.session
    return StepResult.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        run=run,
        step=step,
        outcome=answered.outcome,
        reading=answered.reading,
        note=answered.note.strip(),
        skipped_because=answered.skipped_because,
        acknowledged=answered.acknowledged,
    )


def go_to(run: ProcedureRun, step: Step | None, *, revision: int) -> None:
    """Move the run once: of two tablets that saw the same revision only one succeeds."""
    finished_at = clock.now() if step is None else None
    moved = ProcedureRun.objects.filter(pk=run.pk, revision=revision).update(
        current=step, finished_at=finished_at, revision=F("revision") + 1
    )
    if not moved:
        raise Clash(MOVED_ELSEWHERE)
    run.current, run.finished_at, run.revision = step, finished_at, revision + 1


def renew(
    actor: Actor, result: StepResult, *, outcome: StepOutcome | None, reading: Reading
) -> None:
    """A corrected reading answers its step anew; the run turns only where the way now differs."""
    run = result.run
    keep(
        actor,
        run,
        result.step,
        Answered(
            outcome=outcome, reading=reading, note=result.note, acknowledged=result.acknowledged
        ),
    )
    onward = after(result.step, outcome)
    if onward != after(result.step, result.outcome):
        go_to(run, onward, revision=run.revision)
