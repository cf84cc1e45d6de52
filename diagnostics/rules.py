"""Catalogue rows as the pure modules take them: tell-tale rules, limits, a judged value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnostics import words
from diagnostics.compute import electrics, verdict
from diagnostics.models import Limit, TelltaleRule
from diagnostics.telltales import Lamp, Part, Rule, Shown, Situation
from shop import units

ICE_POINT_K = 273.15

# A limit "at 20 °C" without a correction is used a little around it. Common practice, no source.
ROOM_FOR_TEMPERATURE_K = 5.0

_ENGINE_SAYS = {"running": "with the engine running", "off": "with the engine off"}


def telltale_rules(rows: Iterable[TelltaleRule]) -> tuple[Rule, ...]:
    """The rules of one catalogue version; `rows` come with their patterns prefetched."""
    return tuple(_rule(row) for row in rows)


def _rule(row: TelltaleRule) -> Rule:
    pattern = tuple(
        Part(
            Lamp(part.lamp),
            Situation(part.situation),
            frozenset(Shown(word) for word in part.shown.split()),
        )
        for part in row.patterns.all()
    )
    return Rule(
        key=row.key,
        order=row.order,
        pattern=pattern,
        says=row.says,
        first=row.first,
        may_drive=row.may_drive,
        unsafe=row.unsafe,
        bulb_finding=row.bulb_finding,
        only_alone=row.only_alone,
    )


def limit_of(row: Limit) -> verdict.Limit:
    """A limit with the conditions it holds under."""
    conditions: list[verdict.Condition] = []
    if row.engine:
        conditions.append(verdict.Condition("engine", _ENGINE_SAYS[row.engine], needs=row.engine))
    if row.reference_k is not None:
        at = units.format_value(row.reference_k, "degC")
        conditions.append(
            verdict.Condition(
                "temperature",
                f"at {at}",
                low=row.reference_k - ROOM_FOR_TEMPERATURE_K,
                high=row.reference_k + ROOM_FOR_TEMPERATURE_K,
                unit="degC",
                correctable=row.corrects_for_copper,
            )
        )
    if row.pressure_unit:
        held = words.limit(row.pressure_low, row.pressure_high, row.pressure_unit)
        conditions.append(
            verdict.Condition(
                "pressure",
                f"at a pressure of {held}",
                low=row.pressure_low,
                high=row.pressure_high,
                unit=row.pressure_unit,
            )
        )
    return verdict.Limit(
        low=row.low,
        high=row.high,
        unit=row.unit,
        uncertainty=row.uncertainty or 0.0,
        near_margin=row.near_margin,
        conditions=tuple(conditions),
    )


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict, and the SI value that was judged (None when the meter showed over range)."""

    verdict: verdict.Verdict
    value: float | None


def judge(
    measured: verdict.Measured,
    row: Limit | None,
    *,
    unit: str,
    observed: Mapping[str, float | str],
    uncertainty: float | None = None,
) -> Judged:
    """Judge a measured value by a catalogue limit, first bringing copper to its temperature.

    measured, and `uncertainty` of the tool really used, in SI; None for the usual tool's.
    observed: what was noted, by the key of its condition (`noted`).

    Raises ValueError with a sentence for a temperature at which the correction does not hold.
    """
    if row is None:
        value = measured if isinstance(measured, float) else None
        return Judged(verdict.judge(measured, None), value)
    corrected: dict[str, str] = {}
    corrects = row.corrects_for_copper and row.reference_k is not None
    kelvin = observed.get("temperature")
    if corrects and isinstance(measured, float) and isinstance(kelvin, float):
        seen = measured
        measured, sentence = _to_reference(seen, kelvin, row, unit)
        corrected["temperature"] = sentence
        if uncertainty is not None and seen:
            uncertainty *= measured / seen
    found = verdict.judge(
        measured,
        limit_of(row),
        uncertainty=uncertainty,
        observed=observed,
        corrected=corrected,
        unit=unit,
    )
    return Judged(found, measured if isinstance(measured, float) else None)


def noted(
    *, engine: str, temperature_k: float | None, pressure_pa: float | None
) -> dict[str, float | str]:
    """What was noted beside a value, by the key of the condition it speaks of."""
    found: dict[str, float | str] = {"engine": engine} if engine else {}
    if temperature_k is not None:
        found["temperature"] = temperature_k
    if pressure_pa is not None:
        found["pressure"] = pressure_pa
    return found


def _to_reference(ohms: float, kelvin: float, row: Limit, unit: str) -> tuple[float, str]:
    assert row.reference_k is not None
    at_20 = electrics.resistance_at_20c(ohms, kelvin - ICE_POINT_K)
    # R at the limit's own temperature; the second factor is 1 when that is 20 °C.
    value = at_20 / electrics.resistance_at_20c(1.0, row.reference_k - ICE_POINT_K)
    seen, measured_at, brought_to = (
        units.format_value(ohms, unit),
        units.format_value(kelvin, "degC"),
        units.format_value(row.reference_k, "degC"),
    )
    sentence = f"Read as {seen} at {measured_at} and brought to {brought_to} for copper."
    return value, sentence
