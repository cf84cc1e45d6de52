"""A wheel turned by hand: the frequency its ring should give, and the sensor's voltage. Pure."""

from __future__ import annotations

import math

from diagnostics.compute import wheel_speed as compute
from diagnostics.compute.wheel_speed import COMFORTABLE_RATES, HAND_SPIN_PEAK_TO_PEAK
from diagnostics.compute.wheel_speed import HAND_SPIN_VOLTS as VOLTS
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import TONES, refused_at, tone_of
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome, Tone
from diagnostics.measurements.wheel_tyres import FORMULA, teeth_field, tyre_field, tyre_given
from shop.charting import Axis, Bars, Chart, Level, Role, Table
from shop.units import Kind, format_number, format_value, from_si

_AC_SOURCE = (
    "0.25 to 1.2 V AC at one turn a second, a passive sensor: as printed on a public repair page "
    "(read there)."
)
_PP_SOURCE = (
    "At least 130 mV peak to peak turned by hand, a passive sensor: as printed on makers' service "
    "pages in a public archive (read there)."
)
_COUNTS_WITHIN = 0.05
"""Ratio: a count of turns by eye and a stopwatch are good to this (common practice)."""
_ROLES: dict[Tone, Role] = {"good": "good", "near": "near", "bad": "bad", "unknown": "value"}


def work_out(given: Given, known: Known) -> Outcome:
    """What the spin should give, and how what was measured stands. Raises InputError."""
    teeth = given.number("teeth")
    tyre = tyre_given(given)
    with refused_at("turns"):
        turned = compute.spin(
            teeth=teeth,
            turns=given.number("turns"),
            seconds=given.number("seconds"),
            circumference=tyre.rolling if tyre else None,
        )
    figures = [
        Figure("turning_rate", "Rate of turning", math.tau * turned.turns_per_second, "rev/s"),
        Figure(
            "wheel_frequency", "Expected frequency", turned.expected, "Hz", reason=turned.reason
        ),
    ]
    if turned.road_speed is not None:
        figures.append(
            Figure("wheel_road_speed", "As on the road at", turned.road_speed, "km/h", decimals=1)
        )
    findings: list[Finding] = []
    notes = []
    if not COMFORTABLE_RATES[0] <= turned.turns_per_second <= COMFORTABLE_RATES[1]:
        notes.append(
            "The wheel turned far from one turn a second, so a voltage brought to that rate is "
            "rough. Turn it again, once a second."
        )
    charts: tuple[Chart, ...] = ()
    frequency = given.number_or_none("frequency")
    if frequency is not None:
        findings.append(_counted(frequency, turned, teeth))
    volts = given.number_or_none("volts")
    if volts is not None:
        figure, finding, chart = _voltage(given, known, volts, turned.turns_per_second)
        findings.append(finding)
        if figure:
            figures.append(figure)
        charts = (chart,) if chart else ()
    said = (
        f"At {format_number(turned.turns_per_second, digits=3)} turns a second a ring of {teeth:g} "
        f"teeth gives {format_value(turned.expected, 'Hz', digits=3)}."
    )
    return Outcome(
        says=said,
        figures=tuple(figures),
        findings=tuple(sorted(findings, key=lambda one: TONES.index(one.tone))),
        notes=tuple(notes),
        charts=charts,
        sources=(FORMULA, _AC_SOURCE, _PP_SOURCE) if volts is not None else (FORMULA,),
    )


def _counted(frequency: float, turned: compute.Spin, teeth: float) -> Finding:
    if frequency == 0:
        return Finding(
            "bad",
            "The meter shows no frequency. Too little signal, an open circuit or a meter whose "
            "trigger lies too high do that; the ring alone does not.",
        )
    off = frequency / turned.expected - 1
    counted = frequency / turned.turns_per_second
    if abs(off) <= _COUNTS_WITHIN:
        return Finding(
            "good",
            f"{format_value(frequency, 'Hz', digits=3)} fits {teeth:g} teeth as well as turns "
            "counted by eye can show. A single missing tooth does not show like this.",
        )
    return Finding(
        "bad",
        f"{format_value(frequency, 'Hz', digits=3)} means {format_number(counted, decimals=1)} "
        f"teeth a turn where the ring should have {teeth:g}. Count the turns again, then the "
        "teeth; noise on the line counts as teeth, too small a signal leaves some out.",
    )


def _voltage(
    given: Given, known: Known, volts: float, rate: float
) -> tuple[Figure | None, Finding, Chart | None]:
    if given.choice("sensor") in ("current", "voltage"):
        says = (
            "An active sensor makes no voltage of its own: its two levels tell whether it works. "
            "This voltage is not judged."
        )
        return None, Finding("unknown", says), None
    low: float | None
    high: float | None
    if given.choice("measured_as") == "pp":
        quantity, unit = "signal_peak_to_peak", "mV"
        name = "Output peak to peak"
        value, low, high, source = volts, HAND_SPIN_PEAK_TO_PEAK, None, _PP_SOURCE
        reason = "As measured, turned by hand."
    elif given.choice("measured_as") == "ac":
        quantity, unit, name = "sensor_output", "mV", "Output at one turn a second"
        value, low, high, source = compute.volts_at_one_turn(volts, rate), *VOLTS, _AC_SOURCE
        reason = (
            f"{format_value(volts, unit)} AC at {format_number(rate, digits=3)} turns a second, "
            "brought to one turn a second in proportion."
        )
    else:
        raise InputError("Say whether the meter shows AC or peak to peak.", "measured_as")
    own = known.limits.get(quantity)
    allowed = None if own else Allowed(unit, source, low, high, "turned by hand")
    tone = tone_of(value, quantity, known) if own else _tone(value, low, high)
    if own:
        low, high = own.limit.low, own.limit.high
    figure = Figure(quantity, name, value, unit, keep=True, allowed=allowed, reason=reason)
    return figure, _about_volts(value, low, tone), _chart(name, value, unit, low, high, tone)


def _tone(value: float, low: float | None, high: float | None) -> Tone:
    return (
        "bad"
        if (low is not None and value < low) or (high is not None and value > high)
        else "good"
    )


def _about_volts(value: float, low: float | None, tone: Tone) -> Finding:
    shown = format_value(value, "mV", digits=3)
    if tone in ("good", "near"):
        close = "just " if tone == "near" else ""
        return Finding(
            tone,
            f"{shown} is {close}enough: sensor, gap and ring work together at this speed. It does "
            "not show a single damaged tooth, nor a wire that opens on the road.",
        )
    if low is not None and value < low:
        return Finding(
            "bad",
            f"{shown} is too little. A wide gap, rust or swarf on the ring, a weak sensor and a "
            "partly shorted winding all look like this: measure the gap and the winding next.",
        )
    return Finding(
        "bad",
        f"{shown} is more than usual. Look for too small a gap, and whether the meter shows AC "
        "or peak to peak.",
    )


def _chart(
    name: str, value: float, unit: str, low: float | None, high: float | None, tone: Tone
) -> Chart:
    levels = [
        Level(f"{words} {format_value(at, unit)}", from_si(at, unit))
        for words, at in (("At least", low), ("At most", high))
        if at is not None
    ]
    shown = format_value(value, unit, digits=3)
    allowed = " and ".join(level.name[0].lower() + level.name[1:] for level in levels)
    return Chart(
        title=name,
        says=f"Measured {shown}; allowed {allowed}." if allowed else f"Measured {shown}.",
        x=Axis(""),
        y=Axis("Voltage", unit, zero=True),
        layers=(Bars(name, (("Measured", from_si(value, unit)),), (_ROLES[tone],)), *levels),
        table=Table(name, ("What", "Value"), (("Measured", shown),)),
    )


KIND = MeasurementKind(
    key="hand_spin",
    name="Wheel turned by hand",
    group=Group.WHEEL_SPEED,
    purpose="What a sensor should give when its wheel is turned by hand, and whether it does.",
    cautions=(
        "Lift only at the maker's points, with stands under the car and the other wheels chocked.",
        "Key off, transmission in neutral. A raised wheel that turns with the key on sets a flag.",
        "Keep fingers, sleeves and leads away from the turning wheel.",
    ),
    fields=(
        teeth_field(help="Of this wheel's ring; for an active sensor its pole pairs."),
        Number(
            "turns",
            "Turns counted",
            Kind.COUNT,
            "count",
            lowest=0.25,
            highest=1000,
            help="By the valve, past a mark.",
        ),
        Number("seconds", "Time taken", Kind.TIME, "s", lowest=0.1, highest=600),
        Choice(
            "sensor",
            "Sensor",
            (
                ("passive", "Passive, a coil"),
                ("current", "Active, two wires"),
                ("voltage", "Active, three wires"),
            ),
            default="passive",
            known="sensor_kind",
            required=False,
        ),
        Number(
            "volts",
            "Voltage measured",
            Kind.VOLTAGE,
            "mV",
            required=False,
            lowest=0,
            highest=100,
            usual=(0.05, 5.0),
            help="No value at all is 0.",
        ),
        Choice(
            "measured_as",
            "The meter shows",
            (("ac", "AC volts"), ("pp", "Peak to peak")),
            default="ac",
            required=False,
        ),
        Number(
            "frequency",
            "Frequency measured",
            Kind.FREQUENCY,
            "Hz",
            required=False,
            lowest=0,
            highest=20_000,
        ),
        tyre_field(required=False),
    ),
    quantities=(
        DerivedQuantity("sensor_output", "Sensor output by hand spin", Kind.VOLTAGE, "mV"),
        DerivedQuantity("signal_peak_to_peak", "Signal peak to peak", Kind.VOLTAGE, "mV"),
        DerivedQuantity("turning_rate", "Rate of turning", Kind.TURNING_RATE, "rev/s"),
        DerivedQuantity("wheel_frequency", "Frequency of the wheel", Kind.FREQUENCY, "Hz"),
        DerivedQuantity("wheel_road_speed", "Road speed of the wheel", Kind.SPEED, "km/h"),
    ),
    work_out=work_out,
    place="wheel",
)
