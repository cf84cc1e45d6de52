"""A run of a procedure as the checklist sheet shows it: the trail, and the step in hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnostics import words
from diagnostics.models import (
    Limit,
    ProcedureRun,
    Quantity,
    Step,
    StepOutcome,
    StepResult,
)
from diagnostics.places import is_relative, resolve
from diagnostics.queries.limits import LimitShown, limit_for, shown
from diagnostics.queries.picture import ReadingSeen, seen
from shop import units
from shop.models import User

_SHAPES = {"good": "within", "read": "within", "bad": "outside", "unknown": "not_judged"}
_LOOKS = {
    "within": "good",
    "good": "good",
    "read": "good",
    "near": "unknown",
    "unknown": "unknown",
    "not_judged": "unknown",
    "outside": "bad",
    "bad": "bad",
    "skipped": "skipped",
}


@dataclass(frozen=True, slots=True)
class TrailMark:
    """One step of the trail. `state`: within/near/outside/not_judged for a value, good/bad/
    unknown for an answer, read for a caution, skipped, passed over, or "" while it waits."""

    pk: int
    number: int
    title: str
    state: str
    said: str
    current: bool
    open: bool

    @property
    def shape(self) -> str:
        """The verdict whose shape and colour it gets."""
        return _SHAPES.get(self.state, self.state)

    @property
    def look(self) -> str:
        """How the mark is drawn."""
        return "now" if self.current else _LOOKS.get(self.state, "ahead")


@dataclass(frozen=True, slots=True)
class Choice:
    key: str
    label: str
    judged: str

    @property
    def shape(self) -> str:
        return _SHAPES[self.judged]


@dataclass(frozen=True, slots=True)
class Answered:
    """What stands at a step, what it means and where it led."""

    judged: str
    label: str
    says: str
    note: str
    skipped_because: str
    at: datetime
    by: str
    reading: ReadingSeen | None

    @property
    def shape(self) -> str:
        return _SHAPES.get(self.judged, "not_judged")


@dataclass(frozen=True, slots=True)
class UnitChoice:
    key: str
    symbol: str


@dataclass(frozen=True, slots=True)
class StepShown:
    """One step with all its sheet needs."""

    pk: int
    number: int
    of: int
    kind: str
    title: str
    text: str
    purpose: str
    caution: str
    minutes: int | None
    place: str
    position: str
    follows_corner: bool
    asks_corner: bool
    caution_is_open: bool
    quantity: str
    quantity_key: str
    limit: LimitShown | None
    units: tuple[UnitChoice, ...]
    usual_unit: str
    choices: tuple[Choice, ...]
    answered: Answered | None
    works_out: str = ""  # key of the kind of measurement whose figure answers it

    @property
    def measures(self) -> bool:
        return bool(self.quantity_key)


@dataclass(frozen=True, slots=True)
class NextShown:
    """The step that comes next: what it is, and why it is looked at."""

    pk: int
    title: str
    purpose: str
    minutes: int | None


@dataclass(frozen=True, slots=True)
class RunShown:
    """A run at one of its steps; `step` is None once it is finished."""

    run: ProcedureRun
    trail: tuple[TrailMark, ...]
    step: StepShown | None
    next: NextShown | None

    @property
    def findings(self) -> tuple[TrailMark, ...]:
        """The steps that were not as they should be, or not settled."""
        return tuple(mark for mark in self.trail if mark.look in ("bad", "unknown"))

    @property
    def is_current(self) -> bool:
        return self.step is not None and self.step.pk == self.run.current_id


def run_shown(run: ProcedureRun, user: User, *, step_pk: int | None = None) -> RunShown:
    """Five queries whatever the list's length. Without `step_pk` the step whose turn it is.

    A step whose turn has not come is not shown: the one whose turn it is stands for it.
    """
    steps = list(
        Step.objects.filter(procedure=run.procedure_id).select_related("component", "quantity")
    )
    results = list(
        StepResult.objects.filter(run=run).select_related(
            "step",
            "outcome",
            "by",
            "reading__quantity",
            "reading__component__system",
            "reading__by",
        )
    )
    standing = {row.step_id: row for row in results if is_answer(row)}
    by_pk = {step.pk: step for step in steps}
    chosen = by_pk.get(step_pk or 0)
    if chosen is None or (chosen.pk not in standing and chosen.pk != run.current_id):
        chosen = by_pk.get(run.current_id or 0)
    acknowledged = {row.step_id for row in results if row.acknowledged and row.by_id == user.pk}
    shown_step = None
    if chosen is not None:
        shown_step = _step(
            chosen,
            run,
            of=len(steps),
            limit=_limit(chosen, run),
            result=standing.get(chosen.pk),
            acknowledged=chosen.pk in acknowledged,
        )
    current = by_pk.get(run.current_id or 0)
    return RunShown(
        run=run,
        trail=tuple(_mark(step, run, standing.get(step.pk), current) for step in steps),
        step=shown_step,
        next=next_shown(current) if current is not None else None,
    )


def next_shown(step: Step) -> NextShown:
    return NextShown(step.pk, step.title, step.purpose, step.minutes)


def is_answer(row: StepResult) -> bool:
    """Whether the row answers its step; acknowledging the step's own caution alone does not."""
    return bool(
        row.outcome_id
        or row.reading_id
        or row.skipped_because
        or (row.step.kind == Step.Kind.CAUTION and row.acknowledged)
    )


def _mark(
    step: Step, run: ProcedureRun, result: StepResult | None, current: Step | None
) -> TrailMark:
    passed = current is None or step.number < current.number
    state = _state(result) if result is not None else "passed" if passed else ""
    return TrailMark(
        pk=step.pk,
        number=step.number,
        title=step.title,
        state=state,
        said=_said(result) if result is not None else "",
        current=step.pk == run.current_id,
        open=result is not None or step.pk == run.current_id,
    )


def _state(result: StepResult) -> str:
    if result.skipped_because:
        return "skipped"
    if result.reading is not None:
        return result.reading.verdict
    if result.step.kind == Step.Kind.CAUTION:
        return "read"
    return result.outcome.judged if result.outcome else "unknown"


def _said(result: StepResult) -> str:
    if result.skipped_because:
        return f"left out: {result.skipped_because}"
    if result.reading is not None:
        return words.value(result.reading)
    return result.outcome.label if result.outcome else ""


def _limit(step: Step, run: ProcedureRun) -> Limit | None:
    if step.quantity is None:
        return None
    position = resolve(step.position, run.corner) or ""
    return limit_for(run.session.version, step.quantity, step.component, position)


def _step(
    step: Step,
    run: ProcedureRun,
    *,
    of: int,
    limit: Limit | None,
    result: StepResult | None,
    acknowledged: bool,
) -> StepShown:
    position = resolve(step.position, run.corner)
    quantity = step.quantity
    outcomes = StepOutcome.objects.filter(step=step) if quantity is None else ()
    return StepShown(
        pk=step.pk,
        number=step.number,
        of=of,
        kind=step.kind,
        title=step.title,
        text=step.text,
        purpose=step.purpose,
        caution=step.caution,
        minutes=step.minutes,
        place=words.place(position or ""),
        position=position or "",
        follows_corner=is_relative(step.position),
        asks_corner=is_relative(step.position) and not run.corner,
        caution_is_open=bool(step.caution) and not acknowledged,
        quantity=quantity.name if quantity else "",
        quantity_key=quantity.key if quantity else "",
        limit=shown(limit) if limit else None,
        units=unit_choices(quantity) if quantity else (),
        usual_unit=limit.unit if limit else quantity.unit if quantity else "",
        choices=tuple(Choice(one.key, one.label, one.judged) for one in outcomes),
        answered=answered(result) if result is not None else None,
        works_out=step.works_out,
    )


def unit_choices(quantity: Quantity) -> tuple[UnitChoice, ...]:
    """The units a quantity may be typed in, the commonest first."""
    return tuple(
        UnitChoice(key, units.symbol_of(key) or "number") for key in units.units_of(quantity.kind)
    )


def answered(result: StepResult) -> Answered:
    outcome = result.outcome
    return Answered(
        judged=_state(result),
        label=outcome.label if outcome else "",
        says=outcome.says if outcome else "",
        note=result.note,
        skipped_because=result.skipped_because,
        at=result.at,
        by=str(result.by),
        reading=seen(result.reading) if result.reading is not None else None,
    )


def get_step(run: ProcedureRun, pk: int) -> Step | None:
    """A step of the run's own list; mostly the one whose turn it is, which came with the run."""
    if run.current is not None and run.current.pk == pk:
        return run.current
    rows = Step.objects.filter(procedure=run.procedure_id, pk=pk)
    return rows.select_related("quantity", "component").first()


@dataclass(frozen=True, slots=True)
class AnsweredShown:
    """A step just answered: its verdict at once, and what comes next."""

    run: ProcedureRun
    step: StepShown
    next: NextShown | None

    @property
    def is_current(self) -> bool:
        return False

    @property
    def leads_straight_on(self) -> bool:
        """Whether the answer needs no words: nothing to read before the next step."""
        answered = self.step.answered
        return answered is not None and answered.judged == "good" and not answered.says


def answered_now(run: ProcedureRun, step: Step, result: StepResult | None = None) -> AnsweredShown:
    """What the person sees who has just answered. `result` is what the service has kept; without
    it (the same sending came twice) the step's last answer is looked up."""
    result = result or _last_result(run, step)
    shown_step = _step(
        step,
        run,
        of=Step.objects.filter(procedure=run.procedure_id).count(),
        limit=result.reading.limit if result.reading else None,
        result=result,
        acknowledged=True,
    )
    return AnsweredShown(run, shown_step, next_shown(run.current) if run.current else None)


def _last_result(run: ProcedureRun, step: Step) -> StepResult:
    rows = StepResult.objects.filter(run=run, step=step).select_related(
        "step",
        "outcome",
        "by",
        "reading__quantity",
        "reading__component__system",
        "reading__by",
        "reading__limit",
    )
    return rows.order_by("-pk")[0]
