"""Recording a measured value: judged at once, and never edited afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from diagnostics import rules, words
from diagnostics.compute.verdict import OVER_RANGE, Measured
from diagnostics.models import Component, Limit, Position, Quantity, Reading, Session, StepResult
from diagnostics.queries.limits import limit_for
from diagnostics.services import sessions, steps
from shop import clock, units
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import acts

# What cannot be below zero however it is measured.
_NEVER_NEGATIVE = frozenset(
    {units.Kind.RESISTANCE, units.Kind.FREQUENCY, units.Kind.MASS, units.Kind.VOLUME}
)
_LONGEST_NUMBER = 24


@dataclass(frozen=True, slots=True)
class ReadingInput:
    """A value as typed ("41.2", "1,39", "OL") with what was noted beside it."""

    quantity: Quantity
    value: str
    unit: str
    component: Component | None = None
    position: str = ""
    temperature: str = ""
    temperature_unit: str = "degC"
    engine: str = ""
    conditions: str = ""


@transaction.atomic
def record(actor: Actor, session: Session, *, act: UUID | None, taken: ReadingInput) -> Reading:
    """Keep one measured value with its verdict and the limit it was judged by.

    Raises Refusal [value], [unit], [temperature], [position] when what was typed cannot be
    judged as a measurement at all.
    """
    if act is not None:
        acts.claim(actor, act, "reading", about=(session, taken.quantity))
    sessions.check(actor, session)
    reading = take(actor, session, taken)
    sessions.write(actor, session, "reading", f"measured {words.inside(words.reading(reading))}")
    return reading


def take(actor: Actor, session: Session, taken: ReadingInput) -> Reading:
    """Judge and keep one value inside another act, which writes the log line."""
    reading = _judged(actor, session, taken)
    reading.save()
    return reading


@transaction.atomic
def replace(
    actor: Actor,
    reading: Reading,
    *,
    act: UUID | None,
    value: str,
    unit: str,
    because: str,
    temperature: str = "",
    temperature_unit: str = "degC",
    engine: str = "",
    conditions: str = "",
) -> Reading:
    """Put a corrected value in the place of a mistaken one, which stays readable.

    The step it was taken at is answered anew by it. Raises Refusal [because] without a reason,
    Clash when somebody replaced it first.
    """
    if act is not None:
        acts.claim(actor, act, "reading replaced", about=reading)
    session = reading.session
    sessions.check(actor, session)
    if not because.strip():
        raise Refusal(
            "Say what was wrong with the first value; both stay readable.", field="because"
        )
    if Reading.objects.filter(replaces=reading).exists():
        raise Clash("This reading was replaced already. The page now shows the one that stands.")
    taken = ReadingInput(
        quantity=reading.quantity,
        value=value,
        unit=unit,
        component=reading.component,
        position=reading.position,
        temperature=temperature,
        temperature_unit=temperature_unit,
        engine=engine,
        conditions=conditions,
    )
    corrected = _judged(actor, session, taken)
    corrected.phase = reading.phase
    corrected.replaces = reading
    corrected.replaced_because = because.strip()[:200]
    corrected.save()
    _answer_anew(actor, reading, corrected)
    said = f"replaced {words.inside(words.reading(reading))} by {words.value(corrected)}"
    sessions.write(actor, session, "reading_replaced", said, corrected.replaced_because)
    return corrected


def _answer_anew(actor: Actor, old: Reading, new: Reading) -> None:
    result = (
        StepResult.objects.filter(reading=old)
        .select_related("run__session", "step", "outcome__goto")
        .last()
    )
    # Measured again meanwhile: the later reading answers the step, not this one.
    if result is None or steps.last_answer(result.run, result.step) != result:
        return
    outcome = steps.outcome_of_verdict(result.step, new.verdict)
    steps.renew(actor, result, outcome=outcome, reading=new)


def _judged(actor: Actor, session: Session, taken: ReadingInput) -> Reading:
    measured = _measured(taken)
    temperature_k = _kelvin(taken)
    limit = limit_for(session.version_id, taken.quantity, taken.component, taken.position)
    try:
        judged = rules.judge(
            measured, limit, temperature_k=temperature_k, engine=taken.engine, unit=taken.unit
        )
    except ValueError as error:
        raise Refusal(str(error), field="temperature") from error
    return Reading(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        quantity=taken.quantity,
        component=taken.component or (limit.component if limit else None),
        position=_position(taken.position),
        typed_value=taken.value.strip(),
        typed_unit=units.unit(taken.unit).key,
        value=measured if isinstance(measured, float) else None,
        over_range=measured is OVER_RANGE,
        temperature_k=temperature_k,
        engine=taken.engine,
        conditions=taken.conditions.strip()[:200],
        judged_value=judged.value,
        verdict=judged.verdict.kind,
        reason=judged.verdict.reason,
        **_snapshot(limit),
    )


def _snapshot(limit: Limit | None) -> dict[str, object]:
    """The limit as it was, so that a later change of limits rewrites no history."""
    if limit is None:
        return {}
    return {
        "limit": limit,
        "limit_low": limit.low,
        "limit_high": limit.high,
        "limit_unit": limit.unit,
        "limit_conditions": limit.conditions,
        "limit_source": limit.source,
    }


def _measured(taken: ReadingInput) -> Measured:
    typed = taken.value.strip()
    kind = _kind(taken)
    if len(typed) > _LONGEST_NUMBER:
        raise Refusal("That is too long for a number a meter shows.", field="value")
    if units.shows_over_range(typed):
        return OVER_RANGE
    try:
        number = units.parse_number(typed)
    except units.UnitError as error:
        raise Refusal(error.sentence, field="value") from error
    if number < 0 and kind in _NEVER_NEGATIVE:
        raise Refusal(
            f"A {kind} cannot be below zero. Check the leads and the sign.", field="value"
        )
    return units.to_si(number, taken.unit)


def _kind(taken: ReadingInput) -> units.Kind:
    try:
        kind = units.kind_of(taken.unit)
    except units.UnitError as error:
        raise Refusal(error.sentence, field="unit") from error
    if kind != taken.quantity.kind:
        fitting = ", ".join(units.symbol_of(key) for key in units.units_of(taken.quantity.kind))
        raise Refusal(
            f"{taken.quantity} is not measured in {units.symbol_of(taken.unit)}. "
            f"Choose one of {fitting}.",
            field="unit",
        )
    return kind


def _kelvin(taken: ReadingInput) -> float | None:
    if not taken.temperature.strip():
        return None
    try:
        return units.to_si(units.parse_number(taken.temperature), taken.temperature_unit)
    except units.UnitError as error:
        raise Refusal(error.sentence, field="temperature") from error


def _position(position: str) -> str:
    if position not in Position.values:
        raise Refusal("Choose where it was measured.", field="position")
    return position
