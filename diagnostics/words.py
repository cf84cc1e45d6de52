"""How what was recorded is said in a few words: the same on the screen, on paper and in the log."""

from __future__ import annotations

from diagnostics.codes.status import FlagStatus
from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import (
    Conclusion,
    FlagRead,
    Position,
    Reading,
    StepResult,
    StoredFlag,
    TelltaleObservation,
)
from diagnostics.telltales import Lamp, Shown, Situation
from shop import units


def place(position: str) -> str:
    """ "left rear"; "" for no position."""
    return str(Position(position).label) if position else ""


def inside(text: str) -> str:
    """The text as it stands inside a sentence: "Tread depth" -> "tread depth", but "OL" stays."""
    return f"{text[:1].lower()}{text[1:]}" if text[1:2].islower() else text


def limit(low: float | None, high: float | None, unit: str) -> str:
    """ "1.28 – 1.50 kΩ", "at most 0.05 mm", "at least 12.4 V"; "" without figures."""
    numbers = [units.from_si(bound, unit) for bound in (low, high) if bound is not None]
    if not numbers:
        return ""
    decimals = max(units.decimals_needed(number) for number in numbers)
    written = [units.format_number(number, decimals=decimals) for number in numbers]
    # A figure allowed alone, such as a count of teeth, is written once.
    text = units.with_unit(" \u2013 ".join(dict.fromkeys(written)), unit)
    if low is None:
        return f"at most {text}"
    return f"at least {text}" if high is None else text


def value(reading: Reading) -> str:
    """The value as it was typed, with its unit."""
    if reading.over_range:
        return "over range"
    return units.with_unit(reading.typed_value, reading.typed_unit)


def allowed(reading: Reading) -> str:
    """What was allowed when it was judged; "" when no limit was known."""
    return limit(reading.limit_low, reading.limit_high, reading.limit_unit)


def conditions(reading: Reading) -> str:
    """What was noted beside a value: "at 12 °C, engine running"."""
    noted = [
        f"at {units.format_value(reading.temperature_k, 'degC')}"
        if reading.temperature_k is not None
        else "",
        f"at {units.format_value(reading.pressure_pa, 'bar')}"
        if reading.pressure_pa is not None
        else "",
        f"engine {reading.engine}" if reading.engine else "",
        tool(reading),
        "unit confirmed" if reading.unit_confirmed else "",
        reading.conditions,
    ]
    return ", ".join(one for one in noted if one)


def tool(reading: Reading) -> str:
    """The uncertainty of the tool really used: "tool ± 0.02 kΩ"; "" when it was not given."""
    if reading.uncertainty is None:
        return ""
    # A width: a temperature's has no offset.
    width = units.from_si(reading.uncertainty, reading.typed_unit)
    width -= units.from_si(0.0, reading.typed_unit)
    return f"tool ± {units.with_unit(f'{width:.3g}', reading.typed_unit)}"


def reading(row: Reading) -> str:
    """ "coil resistance, left rear: 41.2 kΩ, outside"."""
    where = f", {place(row.position)}" if row.position else ""
    return f"{row.quantity}{where}: {value(row)}, {VerdictKind(row.verdict).word}"


def code(flag: StoredFlag) -> str:
    return f"{flag.code}-{flag.failure_type}" if flag.failure_type else flag.code


def status(flag: StoredFlag) -> str:
    asked = f", {FlagStatus.LAMP_REQUESTED.label}" if flag.lamp_requested else ""
    return f"{StoredFlag.Status(flag.status).label}{asked}"


def flag(row: StoredFlag) -> str:
    """ "C0045-13 left rear wheel speed: present now"."""
    text = f" {row.definition.text}" if row.definition else ""
    return f"{code(row)}{text}: {status(row)}"


def module(name: str) -> str:
    """A module whose memory was read or cleared; a blank one stands for all of them."""
    return name or "every module"


def flag_read(row: FlagRead) -> str:
    """ "Brake control: none stored"."""
    said = module(row.module)
    return f"{said[:1].upper()}{said[1:]}: {'none stored' if row.none_stored else 'flags read'}"


def lamp(row: TelltaleObservation) -> str:
    """ "amber anti-lock lamp steady with the engine running"."""
    shown, situation = Shown(row.shown).label, Situation(row.situation).label
    return f"{Lamp(row.lamp).label} {shown} {situation}"


def step_result(row: StepResult) -> str:
    """ "Clip on the trailing arm: broken"."""
    said = row.outcome.label if row.outcome else ""
    if row.skipped_because:
        said = f"left out, {row.skipped_because}"
    note = f" ({row.note})" if row.note else ""
    title = row.step.title
    return f"{title if title.endswith('?') else f'{title}:'} {said}{note}"


def conclusion(row: Conclusion) -> str:
    """ "rear hub-and-sensor assembly, left rear: open circuit when moved"."""
    if row.no_fault_found:
        said = "no fault found"
    else:
        where = f", {place(row.position)}" if row.position else ""
        mode = f": {row.failure_mode}" if row.failure_mode else ""
        said = f"{row.component}{where}{mode}"
    return f"{said} ({row.words})" if row.words else said
