"""A brake channel under held pressure: does it hold, settle or leak? Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.hydraulics_hold import Hold, Left, Shape, left_after, watch
from diagnostics.measurements.fields import ENGINE, Choice, Grid, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.hydraulics_pictures import hold_chart
from diagnostics.measurements.hydraulics_words import BRAKE_CAUTIONS, bar, percent
from diagnostics.measurements.judging import (
    most_allowed,
    refused_at,
    tone_of,
    tool_uncertainty,
    worst_first,
)
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome, Tone
from shop.charting import Table
from shop.units import Kind, format_value, to_si

HALF_A_MINUTE = 30.0
_USUAL_GAUGE = 0.5e5
"""Pa that a shop's gauge tells apart: common practice, no source."""
_WARMED = 2.0
"""Kelvin that already move the pressure of a closed circuit. Common practice, no source."""
RULE_FORCE = to_si(125, "lbf")
RULE_SECONDS = 10.0
_RULE = "49 CFR 570.55(b), read; 570.5(b) has the same figures, from memory"
_TONES: dict[Shape, Tone] = {
    "holds": "good",
    "settles": "good",
    "leaks": "bad",
    "slows": "near",
    "rises": "unknown",
    "unclear": "unknown",
}


@dataclass(frozen=True, slots=True)
class Held:
    """The readings, s and Pa, counted from the first, and what they did."""

    seconds: tuple[float, ...]
    pascals: tuple[float, ...]
    found: Hold
    hold: float
    left: Left

    @property
    def lasted(self) -> float:
        return self.seconds[-1] - self.seconds[0]


def _held(given: Given, known: Known) -> Held:
    rows = given.rows("readings").values()
    seconds = tuple(_number(row["time"]) for row in rows)
    pascals = tuple(_number(row["pressure"]) for row in rows)
    gauge = given.number_or_none("gauge") or tool_uncertainty("pressure_lost", known, _USUAL_GAUGE)
    with refused_at("readings"):
        found = watch(seconds, pascals, gauge)
    hold = given.number_or_none("hold_time") or HALF_A_MINUTE
    with refused_at("hold_time"):
        left = left_after(seconds, pascals, hold)
    return Held(seconds, pascals, found, hold, left)


def _number(value: float | str | None) -> float:
    if not isinstance(value, float | int):
        raise InputError("Fill this in.", "readings")
    return float(value)


def _work_out(given: Given, known: Known) -> Outcome:
    held = _held(given, known)
    found = held.found
    return Outcome(
        f"{found.reason} {bar(held.pascals[0])} fell by {bar(found.lost)} in "
        f"{format_value(held.lasted, 's')}."
        if found.lost > 0
        else f"{found.reason} It began at {bar(held.pascals[0])}.",
        _figures(held, known),
        worst_first([*_findings(held, known), *_pedal(given, held), *_warmth(given)]),
        tuple(_notes(given, held)),
        table=_table(held),
        charts=(hold_chart(held.seconds, held.pascals, found, _lowest(held, known)),),
        sources=(
            "Straight lines and exponentials by least squares, 95 % intervals by Student’s t.",
            (
                "A leak slows only as its pressure falls, settling stops sooner: worked here, "
                "common practice, no source."
            ),
            f"No perceptible loss of pedal height under 125 lbf (556 N) for 10 s: {_RULE}.",
        ),
        engine=given.choice("engine"),
    )


def _lowest(held: Held, known: Known) -> float | None:
    """The pressure that the catalogue's limit for half a minute leaves, Pa."""
    most = most_allowed("pressure_lost", known)
    return None if most is None else held.pascals[0] - most


def _figures(held: Held, known: Known) -> tuple[Figure, ...]:
    found = held.found
    figures: list[Figure] = []
    half = left_after(held.seconds, held.pascals, HALF_A_MINUTE)
    if half.how != "foretold":
        figures.append(
            Figure(
                "pressure_lost",
                "Brake pressure lost in 30 seconds",
                held.pascals[0] - half.pascals,
                "bar",
                keep=True,
                decimals=1,
                reason=f"From {bar(held.pascals[0])}, {half.how} at 30 s.",
            )
        )
    if len(held.seconds) > 2:
        figures.append(
            Figure(
                "pressure_fall_per_minute",
                "Pressure lost in a minute once settled",
                found.fall_per_minute,
                "bar",
                keep=True,
                uncertainty=60 * found.late.slope_u,
                decimals=2,
                reason="A straight line through the second half of the time.",
            )
        )
    if held.pascals[0] > 0:
        figures.append(
            Figure(
                "pressure_remaining",
                f"Left after {format_value(held.hold, 's')}",
                held.left.pascals / held.pascals[0],
                "%",
                decimals=1,
                reason=f"{bar(held.left.pascals)}, {held.left.how}.",
            )
        )
    return tuple(figures + _fitted(found))


def _fitted(found: Hold) -> list[Figure]:
    if found.shape in ("settles", "slows") and found.settling:
        rest = found.settling
        return [
            Figure(
                "pressure_at_rest",
                "Comes to rest at",
                rest.rest,
                "bar",
                uncertainty=rest.rest_u,
                decimals=1,
                reason=f"An exponential with a time constant of {format_value(rest.tau, 's')}.",
            )
        ]
    if found.shape == "leaks" and found.decay:
        decay = found.decay
        high = "no end" if decay.tau_high is None else format_value(decay.tau_high, "s")
        return [
            Figure(
                "decay_time",
                "Time constant of the decay",
                decay.tau,
                "s",
                decimals=0,
                reason=f"95 % interval from {format_value(decay.tau_low, 's')} to {high}.",
            )
        ]
    return []


def _findings(held: Held, known: Known) -> list[Finding]:
    found = held.found
    findings = [Finding(_TONES[found.shape], _meaning(held))]
    half = left_after(held.seconds, held.pascals, HALF_A_MINUTE)
    lost = held.pascals[0] - half.pascals
    if half.how == "foretold":
        findings.append(
            Finding(
                "unknown",
                f"Watched for {format_value(held.lasted, 's')} only: what is lost in 30 s is not "
                "known.",
            )
        )
    elif found.shape == "settles" and tone_of(lost, "pressure_lost", known) == "bad":
        findings.append(
            Finding(
                "near",
                "More was lost than is allowed, but the fall stopped: bleed the channel and "
                "measure again before a seal is blamed.",
            )
        )
    return findings


def _meaning(held: Held) -> str:
    rate, sure = held.found.fall_per_minute, 60 * held.found.late.slope_u
    per_minute = f"{bar(rate, 2)} a minute, give or take {bar(sure, 2)}"
    return {
        "holds": "The channel holds as far as the gauge can tell. That does not show a seal that "
        "passes only at low pressure, or when warm.",
        "settles": "The early fall stops: hoses give, linings and air settle. Much of it, or a "
        "soft pedal, points to air or a swelling hose, not to a leak.",
        "leaks": f"It loses {per_minute}. Wet outside, it is that joint; dry outside, it points "
        "to a seal in the master cylinder or a valve in the modulator that passes inside. It "
        "does not show which: shut the branches off one by one.",
        "slows": f"After the first fall it still loses {per_minute}. Hold it for two or three "
        "minutes more: what goes on is a leak, what stops is settling.",
        "rises": "The pressure rises: the pedal press creeps, something pumps, or the fluid "
        "warms. Put that right and measure again.",
        "unclear": "The readings cannot tell a leak from settling. Take one every five or ten "
        "seconds for a minute.",
    }[held.found.shape]


def _pedal(given: Given, held: Held) -> list[Finding]:
    pedal, force = given.choice("pedal"), given.number_or_none("force")
    if pedal == "sank":
        return [
            Finding(
                "bad",
                "The pedal sank under steady force. Do not drive it: the in-service rule allows "
                "no perceptible loss of height in 10 s.",
            )
        ]
    if pedal != "steady" or force is None:
        return []
    if force >= RULE_FORCE * 0.999 and held.lasted >= RULE_SECONDS:
        return [
            Finding(
                "good",
                f"The pedal kept its height under {format_value(force, 'N', decimals=0)} for "
                f"{format_value(held.lasted, 's')}, as the in-service rule asks (556 N, 10 s).",
            )
        ]
    return [
        Finding(
            "unknown",
            "The pedal kept its height, but the in-service rule asks for 556 N (125 lbf) held for "
            "10 s.",
        )
    ]


def _warmth(given: Given) -> list[Finding]:
    before, after = given.number_or_none("warm_before"), given.number_or_none("warm_after")
    if before is None or after is None or abs(after - before) <= _WARMED:
        return []
    moved = "cooled" if after < before else "warmed"
    way = "fall without a leak" if after < before else "hold although it leaks"
    return [
        Finding(
            "unknown",
            f"The fluid {moved} by {abs(after - before):.0f} K meanwhile: a closed circuit can "
            f"{way}. Let it come to rest and measure again.",
        )
    ]


def _notes(given: Given, held: Held) -> list[str]:
    notes = [
        (
            "Fluid shrinks as it cools: just after driving or bleeding, a closed circuit loses "
            "pressure without any leak."
        )
    ]
    if given.number_or_none("gauge") is None:
        notes.append("What the gauge tells apart was taken from the pages, or as 0.5 bar.")
    if held.left.how == "foretold":
        notes.append(
            f"{bar(held.left.pascals)} after {format_value(held.hold, 's')} is foretold from the "
            "last readings, not read."
        )
    return notes


def _table(held: Held) -> Table:
    first = held.pascals[0]
    return Table(
        "Pressure as read",
        ("Time", "Pressure", "Lost", "Left"),
        tuple(
            (
                format_value(at - held.seconds[0], "s"),
                bar(pressure),
                bar(first - pressure),
                percent(pressure / first) if first > 0 else "–",
            )
            for at, pressure in zip(held.seconds, held.pascals, strict=True)
        ),
    )


PRESSURE_HOLD = MeasurementKind(
    key="pressure_hold",
    name="Held brake pressure",
    group=Group.HYDRAULICS,
    purpose="Watches a held pressure over time and tells a leak from settling.",
    fields=(
        Grid(
            "readings",
            "Readings in order",
            tuple((str(number), str(number)) for number in range(1, 13)),
            (
                Number("time", "Time", Kind.TIME, "s", lowest=0.0, highest=36000.0),
                Number("pressure", "Pressure", Kind.PRESSURE, "bar", lowest=0.0, highest=4e7),
            ),
            least=2,
            help="The first when the pedal press is set; then every five or ten seconds.",
        ),
        Number(
            "hold_time",
            "To be held for",
            Kind.TIME,
            "s",
            required=False,
            known="hold_time",
            help="Left empty: 30 s.",
            lowest=1.0,
            highest=36000.0,
        ),
        Number(
            "gauge",
            "The gauge tells apart",
            Kind.PRESSURE,
            "bar",
            required=False,
            help="Half of its smallest mark, or what its sheet says.",
            lowest=100.0,
            highest=2e6,
        ),
        Number(
            "force",
            "Pedal force",
            Kind.FORCE,
            "N",
            required=False,
            lowest=0.0,
            highest=3000.0,
        ),
        Choice(
            "pedal",
            "The pedal meanwhile",
            (("steady", "Kept its height"), ("sank", "Sank"), ("not", "Not watched")),
            required=False,
        ),
        ENGINE,
        Number(
            "warm_before",
            "Fluid at the beginning",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            lowest=to_si(-40, "degC"),
            highest=to_si(250, "degC"),
        ),
        Number(
            "warm_after",
            "Fluid at the end",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            lowest=to_si(-40, "degC"),
            highest=to_si(250, "degC"),
        ),
    ),
    quantities=(
        DerivedQuantity("pressure_lost", "Brake pressure lost in 30 seconds", Kind.PRESSURE, "bar"),
        DerivedQuantity(
            "pressure_fall_per_minute",
            "Pressure lost in a minute once settled",
            Kind.PRESSURE,
            "bar",
        ),
        DerivedQuantity("pressure_remaining", "Pressure left after the hold", Kind.RATIO, "%"),
        DerivedQuantity("pressure_at_rest", "Comes to rest at", Kind.PRESSURE, "bar"),
        DerivedQuantity("decay_time", "Time constant of the decay", Kind.TIME, "s"),
    ),
    work_out=_work_out,
    place="any",
    cautions=BRAKE_CAUTIONS,
)
