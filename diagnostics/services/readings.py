"""Recording a measured value: judged at once, and never edited afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from uuid import UUID

from django.db import transaction

from diagnostics import rules, words
from diagnostics.compute.magnitude import unit_doubt
from diagnostics.compute.verdict import OVER_RANGE, Measured, not_noted
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
class Typed:
    """A value as typed ("41.2", "1,39", "OL") with what was noted beside it.

    tool: the uncertainty of the tool really used, a number in the value's unit or a share of it
    ("0.5 %"). sure: asked whether the unit is right, it is. unjudged: asked about a condition of
    the limit that was not noted, the value is to be kept without a verdict.
    """

    value: str
    unit: str
    temperature: str = ""
    temperature_unit: str = "degC"
    engine: str = ""
    conditions: str = ""
    pressure: str = ""
    pressure_unit: str = ""
    tool: str = ""
    sure: bool = False
    unjudged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingInput(Typed):
    """What was typed, of what and where."""

    quantity: Quantity
    component: Component | None = None
    position: str = ""

    @classmethod
    def of(
        cls, typed: Typed, quantity: Quantity, component: Component | None, position: str
    ) -> ReadingInput:
        given = asdict(typed)
        return cls(quantity=quantity, component=component, position=position, **given)


@transaction.atomic
def record(actor: Actor, session: Session, *, act: UUID | None, taken: ReadingInput) -> Reading:
    """Keep one measured value with its verdict and the limit it was judged by.

    Raises Refusal [value], [unit], [temperature], [pressure], [tool], [position] when what was
    typed cannot be judged as a measurement at all; [sure] and [unjudged] are questions that a
    tick of that name answers.
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
    typed: Typed,
    because: str,
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
    taken = ReadingInput.of(typed, reading.quantity, reading.component, reading.position)
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
    temperature_k = _noted(taken.temperature, taken.temperature_unit, "temperature")
    pressure_pa = _noted(taken.pressure, taken.pressure_unit or "bar", "pressure")
    uncertainty = _uncertainty(taken, measured)
    limit = limit_for(session.version_id, taken.quantity, taken.component, taken.position)
    observed = rules.noted(
        engine=taken.engine, temperature_k=temperature_k, pressure_pa=pressure_pa
    )
    confirmed = _ask_unit(taken, measured, limit)
    _ask_conditions(taken, measured, limit, observed)
    try:
        judged = rules.judge(
            measured, limit, unit=taken.unit, observed=observed, uncertainty=uncertainty
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
        uncertainty=uncertainty,
        unit_confirmed=confirmed,
        temperature_k=temperature_k,
        pressure_pa=pressure_pa,
        engine=taken.engine,
        conditions=taken.conditions.strip()[:200],
        judged_value=judged.value,
        verdict=judged.verdict.kind,
        reason=judged.verdict.reason,
        **_snapshot(limit),
    )


def _ask_unit(taken: ReadingInput, measured: Measured, limit: Limit | None) -> bool:
    """Ask once when the number would be usual in another unit. True: asked, and confirmed."""
    if limit is None or not isinstance(measured, float):
        return False
    doubt = unit_doubt(measured, units.unit(taken.unit).key, limit.low, limit.high)
    if doubt is None:
        return False
    if not taken.sure:
        raise Refusal(doubt.sentence, field="sure")
    return True


_TO_NOTE = {
    "temperature": "Note the part’s temperature",
    "pressure": "Note the pressure while it was measured",
    "engine": "Say whether the engine was running",
}


def _ask_conditions(
    taken: ReadingInput,
    measured: Measured,
    limit: Limit | None,
    observed: Mapping[str, float | str],
) -> None:
    """Ask once for what the limit depends on, instead of keeping the value unjudged in silence."""
    if limit is None or taken.unjudged:
        return
    missing = not_noted(measured, rules.limit_of(limit), observed)
    if missing is not None:
        raise Refusal(
            f"The limit holds {missing.says}. {_TO_NOTE[missing.key]}, or tick that it is to be "
            "kept without a verdict.",
            field="unjudged",
        )


def _uncertainty(taken: ReadingInput, measured: Measured) -> float | None:
    """Of the tool really used, SI; None when it was not given."""
    typed = taken.tool.strip().lstrip("±").strip()
    if not typed:
        return None
    is_share = typed.endswith("%")
    try:
        number = units.parse_number(typed.removesuffix("%"))
    except units.UnitError as error:
        raise Refusal(error.sentence, field="tool") from error
    if number < 0:
        raise Refusal("The tool’s uncertainty is a width: type it without a minus.", field="tool")
    if is_share:
        return abs(measured) * number / 100 if isinstance(measured, float) else None
    # A width: a temperature's has no offset.
    return units.to_si(number, taken.unit) - units.to_si(0.0, taken.unit)


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


def _noted(typed: str, unit: str, field: str) -> float | None:
    """A number noted beside the value, SI; None when it was not."""
    if not typed.strip():
        return None
    try:
        if units.kind_of(unit) != field:
            raise Refusal(f"That is no unit of {field}.", field=field)
        return units.to_si(units.parse_number(typed), unit)
    except units.UnitError as error:
        raise Refusal(error.sentence, field=field) from error


def _position(position: str) -> str:
    if position not in Position.values:
        raise Refusal("Choose where it was measured.", field="position")
    return position
