"""A coil that is switched fast: the current it ought to draw, and the one it draws. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.electrics import celsius_of_winding, resistance_at, resistance_at_20c
from diagnostics.compute.electrics_pwm import (
    DIODE_DROP,
    MeanCurrent,
    implied_ohms,
    mean_current,
    ripple,
)
from diagnostics.measurements.electrics_words import (
    COLDEST,
    HOTTEST,
    IEC_60028,
    LIVE,
    NO_SQUIB,
    amps,
    celsius,
    degrees,
    ohms,
    percent,
)
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Band, Chart, Dots, Line, Table
from shop.units import Kind, format_value, to_si

_ROOM = 0.1
"""Meter, supply and temperature together may be off by this much. Common practice, no source."""
_TWENTY = to_si(20, "degC")
_STEPS = 20
_AGREES_SOURCE = (
    "worked out from supply, duty and coil, with a tenth of room for meter, supply and "
    "temperature: common practice, no source"
)
_HOLDS_FOR = (
    "D V / R holds for a resistive load, and for a coil whose current can go on flowing while it "
    "is switched off (a diode beside it, or in the module). Where the module cuts the current off "
    "hard, the mean is lower, and nothing is wrong with that."
)


@dataclass(frozen=True, slots=True)
class _Case:
    supply: float
    duty: float
    kelvin: float
    ohms: float
    ohms_at_20: float
    expected: MeanCurrent
    measured: float | None

    @property
    def allowed(self) -> Allowed:
        return Allowed(
            "A",
            _AGREES_SOURCE,
            # To the milliampere: more digits would promise more than a tenth of room holds.
            low=round(self.expected.least * (1 - _ROOM), 3),
            high=round(self.expected.amps * (1 + _ROOM), 3),
            conditions=f"{percent(self.duty)} of {format_value(self.supply, 'V')}, "
            f"coil at {degrees(self.kelvin)}",
        )


def _case(given: Given) -> _Case:
    supply, duty = given.number("supply"), given.number("duty")
    when, now = given.number_or_none("measured_at"), given.number_or_none("temperature")
    measured_at = _TWENTY if when is None else when
    kelvin = measured_at if now is None else now
    with refused_at("measured_at"):
        at_20 = resistance_at_20c(given.number("resistance"), celsius(measured_at))
    with refused_at("temperature"):
        warm = resistance_at(at_20, celsius(kelvin))
    with refused_at("resistance"):
        expected = mean_current(supply, duty, warm)
    return _Case(
        supply, duty, kelvin, warm, at_20, expected, given.number_or_none("measured_current")
    )


def _work_out(given: Given, known: Known) -> Outcome:
    case = _case(given)
    mean = case.expected
    says = (
        f"{percent(case.duty)} of {format_value(case.supply, 'V')} on {ohms(case.ohms)} "
        f"(at {degrees(case.kelvin)}) is {amps(mean.amps)} on average"
    )
    says += f"; {amps(case.measured)} was measured." if case.measured is not None else "."
    return Outcome(
        says,
        _figures(case, known),
        worst_first(_findings(case)),
        tuple(_notes(case, given)),
        charts=(_chart(case),),
        sources=(
            (
                "I = D V / R: Ohm’s law, and no mean voltage stays in an inductance; worked here "
                "and checked against a simulated coil."
            ),
            f"{DIODE_DROP:g} V across a conducting diode: common practice, no source.",
            IEC_60028,
        ),
        temperature_k=case.kelvin,
    )


def _figures(case: _Case, known: Known) -> tuple[Figure, ...]:
    mean = case.expected
    figures = [
        Figure("expected_current", "Mean current expected", mean.amps, "A", decimals=3),
        Figure("least_current", "The same with a diode beside it", mean.least, "A", decimals=3),
        Figure("coil_warm", "Coil as warm as it is", case.ohms, "ohm", decimals=3),
    ]
    if case.measured is None:
        return tuple(figures)
    by_catalogue = "actuator_current" in known.limits
    figures.insert(
        0,
        Figure(
            "actuator_current",
            "Mean current of the actuator",
            case.measured,
            "A",
            keep=True,
            allowed=None if by_catalogue else case.allowed,
            decimals=3,
            reason=f"Expected {amps(mean.least)} to {amps(mean.amps)}.",
        ),
    )
    if case.measured > 0 and mean.volts > 0:
        _least, most = implied_ohms(case.supply, case.duty, case.measured)
        figures.append(
            Figure("implied_resistance", "Resistance of the whole circuit", most, "ohm", decimals=3)
        )
    return tuple(figures)


def _findings(case: _Case) -> list[Finding]:
    if case.measured is None or case.expected.volts == 0:
        return []
    low, high = case.allowed.low or 0.0, case.allowed.high or 0.0
    if case.measured > high:
        return [
            Finding(
                "bad",
                f"{amps(case.measured)} is more than {amps(case.expected.amps)} explains. It "
                "points to shorted turns, to more duty than was noted, or to a coil that is cooler "
                "than noted. It does not show which.",
            )
        ]
    if case.measured < low:
        return [_too_little(case)]
    return [
        Finding(
            "good",
            "Current, duty, supply and coil agree: coil, wires and the module’s output carry what "
            "is asked for. That says nothing of a valve that sticks.",
        )
    ]


def _too_little(case: _Case) -> Finding:
    assert case.measured is not None
    if case.measured == 0:
        return Finding(
            "bad",
            "Nothing flows. It points to an open coil, wire or output, or to a meter that is not "
            "in the circuit.",
        )
    least, most = implied_ohms(case.supply, case.duty, case.measured)
    extra = f"{ohms(max(0.0, least - case.ohms))} to {ohms(most - case.ohms)}"
    return Finding(
        "bad",
        f"{amps(case.measured)} is less than {amps(case.expected.least)}. As resistance that is "
        f"{extra} beside the coil: a joint, the ground or the output of the module."
        f"{_as_warmth(case, most)} A module that cuts the current off hard gives less by design.",
    )


def _as_warmth(case: _Case, whole: float) -> str:
    try:
        warm = celsius_of_winding(whole, case.ohms_at_20)
    except ValueError:
        return ""
    return f" A coil at {warm:.0f} °C would explain it too."


def _notes(case: _Case, given: Given) -> list[str]:
    notes = [_HOLDS_FOR]
    frequency, constant = given.number_or_none("frequency"), given.number_or_none("constant")
    if frequency is not None and constant is not None:
        swing = ripple(case.supply, case.duty, case.ohms, 1 / frequency, constant)
        notes.append(
            f"At {format_value(frequency, 'Hz')} the current swings by {amps(swing)} in each "
            "period. A meter that is not made for it may show a peak or too little: use one that "
            "averages."
        )
    elif frequency is not None:
        notes.append(
            f"At {format_value(frequency, 'Hz')} one period lasts "
            f"{format_value(1 / frequency, 'ms')}. How far the current swings in it depends on the "
            "coil’s time constant, which was not given."
        )
    if case.expected.volts == 0:
        notes.append("Without duty or supply no current is expected, so nothing is compared.")
    return notes


def _chart(case: _Case) -> Chart:
    duties = [step / _STEPS for step in range(_STEPS + 1)]
    means = [mean_current(case.supply, duty, case.ohms) for duty in duties]
    across = [100 * duty for duty in duties]
    dots = [Dots("Expected", ((100 * case.duty, case.expected.amps),), "second")]
    if case.measured is not None:
        dots.append(Dots("Measured", ((100 * case.duty, case.measured),)))
    return Chart(
        "Mean current against duty",
        f"A straight line from nought to {amps(means[-1].amps)} at full duty"
        + ("." if case.measured is None else f", and {amps(case.measured)} measured."),
        Axis("Duty", "%", low=0, high=100),
        Axis("Mean current", "A", zero=True),
        (
            Band(
                "With and without a diode",
                tuple((x, one.least, one.amps) for x, one in zip(across, means, strict=True)),
            ),
            Line("D V / R", tuple((x, one.amps) for x, one in zip(across, means, strict=True))),
            *dots,
        ),
        table=Table(
            "Mean current expected",
            ("Duty", "With a diode", "D V / R"),
            tuple(
                (percent(duty), amps(one.least), amps(one.amps))
                for duty, one in zip(duties, means, strict=True)
                if round(100 * duty) % 10 == 0
            ),
        ),
    )


def _current(key: str, name: str) -> DerivedQuantity:
    return DerivedQuantity(key, name, Kind.CURRENT, "A")


PWM_ACTUATOR = MeasurementKind(
    key="pwm_actuator",
    name="Current of a switched coil",
    group=Group.ELECTRICS,
    purpose="Says what current a duty ought to give, and what another current points to.",
    fields=(
        Number(
            "supply",
            "Supply at the actuator",
            Kind.VOLTAGE,
            "V",
            help="Of the side that is not switched, against ground, while it works.",
            lowest=0.0,
            highest=60.0,
            usual=(9.0, 16.0),
        ),
        Number(
            "duty",
            "Duty",
            Kind.RATIO,
            "%",
            known="actuator_duty",
            help="The part of the time in which the coil has current switched on.",
            lowest=0.0,
            highest=1.0,
        ),
        Number(
            "frequency",
            "Frequency",
            Kind.FREQUENCY,
            "Hz",
            required=False,
            known="actuator_frequency",
            lowest=1.0,
            highest=1e5,
        ),
        Number(
            "resistance",
            "Resistance of the coil",
            Kind.RESISTANCE,
            "ohm",
            known="actuator_coil_resistance",
            help="Key off, plug off, at its own pins.",
            lowest=1e-3,
            highest=1e5,
        ),
        Number(
            "measured_at",
            "Measured at a coil temperature of",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            help="Left empty: at 20 °C.",
            lowest=COLDEST,
            highest=HOTTEST,
        ),
        Number(
            "temperature",
            "Temperature of the coil at work",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            help="Left empty: the same.",
            lowest=COLDEST,
            highest=HOTTEST,
        ),
        Number(
            "measured_current",
            "Mean current measured",
            Kind.CURRENT,
            "A",
            required=False,
            help="In line, or by a clamp that reads direct current.",
            lowest=0.0,
            highest=100.0,
        ),
        Number(
            "constant",
            "Time constant L / R of the coil",
            Kind.TIME,
            "ms",
            required=False,
            help="Only to tell how far the current swings in each period.",
            lowest=1e-6,
            highest=10.0,
        ),
    ),
    quantities=(
        _current("actuator_current", "Mean current of the actuator"),
        _current("expected_current", "Mean current expected"),
        _current("least_current", "Mean current expected with a diode"),
        DerivedQuantity("coil_warm", "Coil as warm as it is", Kind.RESISTANCE, "ohm"),
        DerivedQuantity(
            "implied_resistance", "Resistance of the whole circuit", Kind.RESISTANCE, "ohm"
        ),
    ),
    work_out=_work_out,
    place="any",
    cautions=(LIVE, NO_SQUIB),
)
