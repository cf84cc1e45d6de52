"""Working out a measurement and keeping it: its figures become readings, judged at once."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Model

from diagnostics import figures, words
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.kept import outcome_text, typed_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.models import (
    Component,
    Limit,
    Measurement,
    ProcedureRun,
    Reading,
    Session,
    Step,
    StepResult,
)
from diagnostics.places import places_for
from diagnostics.queries.known import known_for
from diagnostics.queries.limits import most_specific
from diagnostics.services import captures, runs, sessions, steps
from diagnostics.services.captures import FileRead
from diagnostics.services.quantities import derived
from shop import clock, units
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import acts

log = logging.getLogger("stubaxle.measurements")

_REPLACED_ELSEWHERE = "This was worked out anew already. The page now shows the one that stands."
_DO_NOT_FIT = (
    "Nothing can be worked out from these numbers: some are too large, too small or do not fit "
    "together. Check the digits and the units."
)


@dataclass(frozen=True, slots=True)
class AtStep:
    """The step of a list that the measurement answers."""

    run: ProcedureRun
    step: Step
    revision: int


@dataclass(frozen=True, slots=True)
class Taken:
    """What was typed for one kind: the texts as they stood, and what was read from them."""

    kind: MeasurementKind
    typed: Mapping[str, str]
    given: Given
    position: str = ""
    component: Component | None = None
    file: FileRead | None = None
    note: str = ""


@transaction.atomic
def record(
    actor: Actor,
    session: Session,
    *,
    act: UUID | None,
    taken: Taken,
    at_step: AtStep | None = None,
) -> Measurement:
    """Work it out, keep it with its file, its readings and the step that it answers, or nothing.

    Raises Refusal beside the field that the computation could not use.
    """
    if act is not None:
        acts.claim(actor, act, f"measured {taken.kind.key}"[:40], about=_subject(session, at_step))
    sessions.check(actor, session)
    if at_step is not None:
        position = runs.ready(actor, at_step.run, at_step.step)
        measurement, readings = _kept(actor, session, taken, position)
        _answer(actor, at_step, readings, measurement)
    else:
        measurement, _readings = _kept(actor, session, taken, taken.position)
    said = words.inside(taken.kind.name)
    where = f", {words.place(measurement.position)}" if measurement.position else ""
    sessions.write(
        actor, session, "measurement", f"worked out {said}{where}: {measurement.says}"[:400]
    )
    return measurement


def _subject(session: Session, at_step: AtStep | None) -> tuple[Model, ...]:
    return (session,) if at_step is None else (at_step.run, at_step.step)


@transaction.atomic
def replace(
    actor: Actor, measurement: Measurement, *, act: UUID | None, taken: Taken, because: str
) -> Measurement:
    """Work it out anew in the place of a mistaken one, which stays readable with its readings.

    The step it answered is answered anew. Raises Refusal [because] without a reason, Clash when
    somebody replaced it first.
    """
    if act is not None:
        acts.claim(actor, act, "measurement replaced", about=measurement)
    session = measurement.session
    sessions.check(actor, session)
    if not because.strip():
        raise Refusal("Say what was wrong with the first; both stay readable.", field="because")
    if Measurement.objects.filter(replaces=measurement).exists():
        raise Clash(_REPLACED_ELSEWHERE)
    corrected, readings = _kept(
        actor,
        session,
        taken,
        taken.position,
        replaces=measurement,
        because=because.strip()[:200],
    )
    _answer_anew(actor, measurement, readings)
    said = f"worked out {words.inside(taken.kind.name)} anew: {corrected.says}"[:400]
    sessions.write(actor, session, "measurement_replaced", said, corrected.replaced_because)
    return corrected


def _kept(
    actor: Actor,
    session: Session,
    taken: Taken,
    position: str,
    *,
    replaces: Measurement | None = None,
    because: str = "",
) -> tuple[Measurement, list[Reading]]:
    kind = taken.kind
    if position not in places_for(kind.place):
        raise Refusal("Choose where it was measured.", field="position")
    outcome, text = _worked_out(session, taken, position)
    phase = replaces.phase if replaces else session.phase
    readings = _readings(actor, session, taken, position, outcome, phase)
    measurement = Measurement(
        session=session,
        phase=phase,
        at=clock.now(),
        by=actor.user,
        kind=kind.key,
        version=kind.version,
        component=taken.component,
        position=position,
        typed=typed_text(taken.typed),
        outcome=text,
        says=outcome.says,
        verdict=figures.worst([row.verdict for row in readings], outcome.findings),
        note=taken.note.strip()[:200],
        capture=captures.keep(actor, session, taken.file) if taken.file else None,
        replaces=replaces,
        replaced_because=because,
    )
    _save(measurement)
    for row in readings:
        row.measurement = measurement
    return measurement, Reading.objects.bulk_create(readings)


def _save(measurement: Measurement) -> None:
    try:
        with transaction.atomic():
            measurement.save()
    except IntegrityError as error:
        # Another tablet put the same one right between the look and this.
        raise Clash(_REPLACED_ELSEWHERE) from error


def _worked_out(session: Session, taken: Taken, position: str) -> tuple[Outcome, str]:
    """The outcome, and the text that keeps it."""
    kind = taken.kind
    if kind.capture == "must" and taken.file is None:
        raise Refusal("Choose the instrument's file, or one that was sent before.", field="file")
    samples = taken.file.samples if taken.file else None
    known = known_for(session, kind, taken.component, position, capture=samples)
    try:
        outcome = kind.work_out(taken.given, known)
        figures.check(outcome)
        return outcome, outcome_text(outcome)
    except InputError as error:
        raise Refusal(error.sentence, field=error.field or None) from error
    except (ArithmeticError, ValueError) as error:
        # What is typed must not be lost over what the kind did not think of.
        log.exception("%s could not be worked out in session %s.", kind.key, session.pk)
        raise Refusal(_DO_NOT_FIT) from error


def _readings(
    actor: Actor, session: Session, taken: Taken, position: str, outcome: Outcome, phase: str
) -> list[Reading]:
    kept = [one for one in outcome.figures if one.keep]
    quantities = derived(one.quantity for one in kept)
    rows = list(
        Limit.objects.filter(version=session.version_id, quantity__in=quantities.values())
        .select_related("component__system")
        .order_by("pk")
    )
    found = []
    for figure in kept:
        quantity, place = quantities[figure.quantity], figure.position or position
        here = [row for row in rows if row.quantity_id == quantity.pk]
        limit = None if figure.allowed else most_specific(here, taken.component, place)
        found.append(
            Reading(
                session=session,
                phase=phase,
                at=clock.now(),
                by=actor.user,
                quantity=quantity,
                component=taken.component or (limit.component if limit else None),
                position=place,
                value=figure.value,
                judged_value=figure.value,
                temperature_k=outcome.temperature_k,
                engine=outcome.engine,
                pressure_pa=figure.pressure_pa,
                conditions=taken.note.strip()[:200],
                uncertainty=figure.uncertainty,
                **_shown(figure),
                **figures.judged(figure, limit, outcome, elsewhere=_places(here, place)),
            )
        )
    return found


def _places(rows: list[Limit], place: str) -> tuple[str, ...]:
    """Where the pages do know a limit, in words: said when no place was chosen."""
    if place:
        return ()
    return tuple(dict.fromkeys(words.place(row.position) for row in rows if row.position))


def _shown(figure: Figure) -> dict[str, str]:
    return {
        "typed_value": figures.shown(figure),
        "typed_unit": units.unit(figure.unit).key,
    }


def _answer(
    actor: Actor, at_step: AtStep, readings: list[Reading], measurement: Measurement
) -> StepResult:
    run, step = at_step.run, at_step.step
    reading = _for_step(step, readings, measurement.position)
    if step.quantity is None:
        raise Refusal("This step asks for no figure. Answer it on the list.")
    if reading is None:
        raise Refusal(
            f"This gave no figure for “{step.quantity}”, which the step asks for. "
            "Complete what is missing, or leave the step out with a reason."
        )
    return runs.settle(
        actor, run, step, revision=at_step.revision, reading=reading, note=measurement.note
    )


def _answer_anew(actor: Actor, old: Measurement, readings: list[Reading]) -> None:
    result = (
        StepResult.objects.filter(reading__measurement=old)
        .select_related("run__session", "step__quantity", "outcome__goto")
        .last()
    )
    if result is None or steps.last_answer(result.run, result.step) != result:
        return
    reading = _for_step(result.step, readings, old.position)
    if reading is None:
        raise Refusal(
            f"The first answered “{result.step.title}” and this gives no figure for "
            f"“{result.step.quantity}”. Complete what is missing."
        )
    outcome = steps.outcome_of_verdict(result.step, reading.verdict)
    steps.renew(actor, result, outcome=outcome, reading=reading)


def _for_step(step: Step, readings: list[Reading], position: str) -> Reading | None:
    """The figure that answers the step: of its quantity, at its place before any other, the worst
    where there are several."""
    asked = [row for row in readings if row.quantity_id == step.quantity_id]
    here = [row for row in asked if row.position == position] or asked
    return min(here, key=lambda row: figures.WORST_FIRST.index(row.verdict), default=None)
