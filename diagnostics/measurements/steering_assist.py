"""Speed-sensitive assist at several speeds: command, flow and pressure by their curves. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from diagnostics.compute import steering_assist as assist
from diagnostics.compute.assist_pointers import FastTurn, Felt, Flag, ReadAt, Seen, points_to
from diagnostics.compute.steering_assist import Compared, Curve, State
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.assist_fields import DUTY, FIELDS, FLOW, PRESSURE, SIDES, Side
from diagnostics.measurements.assist_pictures import chart_of, speeds
from diagnostics.measurements.given import Given, InputError, Row
from diagnostics.measurements.judging import refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known, KnownCurve
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome, Tone
from shop.units import format_value, from_si, to_si

PRACTICE = "How duty, flow and assist go together: common practice, no source"
_WARM = (to_si(50, "degC"), to_si(60, "degC"))
_DECIMALS: Mapping[str, int] = {"%": 1, "l/min": 2, "bar": 1}
_SHAPE_TONES: Mapping[assist.ShapeKind, Tone] = {
    "right": "good",
    "flat": "bad",
    "wrong way": "bad",
    "too few": "unknown",
}


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of one side, in the order typed, beside its curve where there is one."""

    side: Side
    values: Mapping[str, tuple[float, float]]
    known: KnownCurve | None
    curve: Curve | None
    compared: Mapping[str, Compared]

    @property
    def most(self) -> float:
        return self.side.most

    @property
    def unit(self) -> str:
        return self.known.unit if self.known else self.side.unit

    @property
    def off(self) -> list[Compared]:
        return [c for c in self.compared.values() if c.verdict.kind is VerdictKind.OUTSIDE]

    @property
    def judged(self) -> list[Compared]:
        return [c for c in self.compared.values() if c.expected is not None]

    @property
    def shape(self) -> assist.Shape:
        return assist.shape_of(list(self.values.values()), rises=self.side.rises)

    def states(self, *, parked: bool) -> list[State]:
        return [
            one.state
            for one in self.compared.values()
            if (one.speed <= assist.PARKING_SPEED) is parked
        ]


def work_out(given: Given, known: Known) -> Outcome:
    """Every speed against its curve, and what the pattern points to."""
    rows = given.rows("points")
    _check_rows(rows)
    sides = [found for side in SIDES if (found := _measured(side, rows, known)) is not None]
    seen = _seen(sides, given, known)
    findings = [Finding(pointer.tone, pointer.says) for pointer in points_to(seen)]
    findings += [_shape(one) for one in sides if one.curve is None]
    return Outcome(
        says=_says(sides),
        figures=tuple(figure for one in sides if (figure := _figure(one)) is not None),
        findings=worst_first(findings),
        notes=_notes(sides, given),
        charts=tuple(chart_of(one.side.name, one.unit, one) for one in sides),
        sources=tuple(dict.fromkeys((*(one.known.source for one in sides if one.known), PRACTICE))),
        temperature_k=given.number_or_none("fluid"),
    )


def _check_rows(rows: Mapping[str, Row]) -> None:
    for key, row in rows.items():
        if all(row.get(side.column) is None for side in SIDES):
            raise InputError(
                "Fill in what was measured at this speed: duty, flow or pressure.",
                f"points-{key}-duty",
            )


def _measured(side: Side, rows: Mapping[str, Row], known: Known) -> Measured | None:
    values = {
        key: (cast(float, row["speed"]), cast(float, row[side.column]))
        for key, row in rows.items()
        if row.get(side.column) is not None
    }
    if not values:
        return None
    found = known.curves.get(side.key)
    if found is None or found.against != "road_speed":
        return Measured(side, values, None, None, {})
    with refused_at("points"):
        curve = Curve(found.points, found.tolerance)
    compared = {
        key: assist.compare(curve, speed, value, unit=found.unit, most=side.most)
        for key, (speed, value) in values.items()
    }
    return Measured(side, values, found, curve, compared)


# ---- from the figures to what they mean ----


def _seen(sides: Sequence[Measured], given: Given, known: Known) -> Seen:
    by_key = {one.side.key: one for one in sides}
    duty = by_key.get(DUTY.key)
    response = by_key.get(FLOW.key) or by_key.get(PRESSURE.key)
    sensor = given.choice("sensor") or _fitted(known)
    return Seen(
        command_parked=_command_parked(duty),
        command_moving=_command_moving(duty),
        response_parked=assist.state_of(response.states(parked=True)) if response else "unknown",
        response_moving=_response_moving(response),
        response_name=response.side.name.lower() if response else "flow",
        no_command=_no_command(duty),
        follows=_follows(duty, response),
        flag=cast(Flag, given.choice("flag")),
        read_at=cast(ReadAt, given.choice("read_at")),
        sensor=(sensor == "fitted") if sensor else None,
        fast_turn=cast(FastTurn, given.choice("fast_turn") or "not tried"),
        felt=cast(Felt, given.choice("felt")),
    )


def _fitted(known: Known) -> str:
    figure = known.figures.get("steering_rate_sensor")
    return figure.words if figure else ""


def _command_parked(duty: Measured | None) -> State:
    if duty is None:
        return "unknown"
    if duty.curve is not None:
        return assist.state_of(duty.states(parked=True))
    parked = [value for speed, value in duty.values.values() if speed <= assist.PARKING_SPEED]
    if not parked:
        return "unknown"
    return "high" if max(parked) > assist.SOME_DUTY else "right"


def _command_moving(duty: Measured | None) -> State:
    if duty is None:
        return "unknown"
    if duty.curve is not None:
        return assist.state_of(duty.states(parked=False))
    return "low" if _no_command(duty) or duty.shape.kind in ("flat", "wrong way") else "unknown"


def _response_moving(response: Measured | None) -> State:
    if response is None:
        return "unknown"
    if response.curve is not None:
        return assist.state_of(response.states(parked=False))
    return "high" if response.shape.kind in ("flat", "wrong way") else "unknown"


def _no_command(duty: Measured | None) -> bool:
    if duty is None:
        return False
    fast = any(speed >= assist.FAST_SPEED for speed, _ in duty.values.values())
    return fast and all(value < assist.NO_DUTY for _, value in duty.values.values())


def _follows(duty: Measured | None, response: Measured | None) -> bool | None:
    """Whether the response is what the duty found at the same row should give; None: not known."""
    if duty is None or response is None or duty.curve is None or response.curve is None:
        return None
    fits: list[bool] = []
    for key, (_, commanded) in duty.values.items():
        if key not in response.values:
            continue
        expected = assist.response_to(duty.curve, response.curve, commanded)
        if expected is not None:
            off = abs(response.values[key][1] - expected)
            fits.append(off <= response.curve.tolerance * (1 + 1e-9))
    return all(fits) if fits else None


def _shape(one: Measured) -> Finding:
    shape = one.shape
    what = f"{one.side.name}, seen without a curve:"
    reason = shape.reason[0].lower() + shape.reason[1:]
    return Finding(_SHAPE_TONES[shape.kind], f"{what} {reason}")


# ---- words and figures ----


def _figure(one: Measured) -> Figure | None:
    """The deviation that is furthest from the curve, to be taken again after the repair."""
    if one.known is None or not one.judged:
        return None
    furthest = max(one.judged, key=lambda compared: abs(compared.off or 0.0))
    # Rounded, so that a value typed exactly on the edge of the band stands on it.
    off = to_si(round(from_si(furthest.off or 0.0, one.unit), 9), one.unit)
    speed = format_value(furthest.speed, one.known.against_unit)
    return Figure(
        quantity=one.side.off_key,
        name=f"{one.side.name}, furthest from its curve",
        value=off,
        unit=one.unit,
        keep=True,
        decimals=_DECIMALS.get(one.unit),
        allowed=Allowed(
            unit=one.unit,
            source=one.known.source,
            low=-one.known.tolerance,
            high=one.known.tolerance,
            conditions="measured minus curve, at several speeds",
        ),
        reason=f"At {speed}: {format_value(furthest.measured, one.unit, digits=3)} measured, "
        f"{format_value(furthest.expected or 0.0, one.unit, digits=3)} by the curve.",
    )


def _says(sides: Sequence[Measured]) -> str:
    parts = [_says_of(one) for one in sides]
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _says_of(one: Measured) -> str:
    name = one.side.name.lower()
    if one.curve is None:
        return f"{name} at {speeds(len(one.values))}, no curve known"
    if not one.judged:
        return f"{name} was measured outside the speeds of its curve"
    count = len(one.judged)
    if not one.off:
        where = {1: "the one speed", 2: "both speeds"}.get(count, f"all {count} speeds")
        return f"{name} keeps to its curve at {where}"
    return f"{name} is off its curve at {len(one.off)} of {speeds(count)}"


def _notes(sides: Sequence[Measured], given: Given) -> tuple[str, ...]:
    notes = []
    without = [one.side.name.lower() for one in sides if one.curve is None]
    if without:
        notes.append(
            f"The pages of this platform give no curve for {' and '.join(without)}: only the way "
            "it goes with speed is looked at. Take the maker's figures for the rest."
        )
    beyond = {one.speed for side in sides for one in side.compared.values() if one.expected is None}
    if beyond:
        where = ", ".join(format_value(speed, "km/h") for speed in sorted(beyond))
        notes.append(f"The curve says nothing at {where}: not judged there.")
    fluid = given.number_or_none("fluid")
    if fluid is not None and not _WARM[0] <= fluid <= _WARM[1]:
        notes.append(
            f"The fluid had {format_value(fluid, 'degC', digits=3)}. Pump makers test at 50 to "
            "60 °C (read): cold fluid makes pressure read high, hot fluid makes flow read low."
        )
    if {one.side.key for one in sides} >= {FLOW.key, PRESSURE.key}:
        notes.append("Findings on the hydraulic side go by the flow; pressure also follows effort.")
    return tuple(notes)


ASSIST_BY_SPEED = MeasurementKind(
    key="assist_by_speed",
    name="Assist by road speed",
    group=Group.STEERING,
    purpose="Tells a wrong command from an actuator, pump or hose that does not follow it.",
    fields=FIELDS,
    quantities=(
        *(DerivedQuantity(s.key, f"{s.name} at road speed", s.kind, s.unit) for s in SIDES),
        *(
            DerivedQuantity(s.off_key, f"{s.name}, furthest from its curve", s.kind, s.unit)
            for s in SIDES
        ),
    ),
    work_out=work_out,
    cautions=(
        "Never drive on the road with a gauge or flow meter in the steering line: use rollers.",
        "Steering fluid is hot and a jet goes through skin: gloves and glasses.",
        "Belt and fan turn without warning: hands, hair and sleeves away.",
        "On a road drive the driver drives and a second person reads, within the law.",
    ),
)

KINDS: tuple[MeasurementKind, ...] = (ASSIST_BY_SPEED,)
