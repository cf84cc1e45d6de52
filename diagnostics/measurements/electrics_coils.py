"""A coil's resistance brought to 20 °C, and what it should show as warm as it is. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.electrics import resistance_at, resistance_at_20c
from diagnostics.compute.magnitude import unit_doubt
from diagnostics.compute.verdict import Limit, Verdict, VerdictKind, judge, limit_in_words
from diagnostics.measurements.electrics_words import (
    COLDEST,
    HOTTEST,
    IEC_60028,
    NO_SQUIB,
    POWER_OFF,
    celsius,
    degrees,
)
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Band, Chart, Dots, Layer, Line, Table
from shop.units import Kind, format_number, format_value, from_si, symbol_of, to_si

TWENTY = to_si(20, "degC")
_SHOWN_AT = (-20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)
_TYPED = "typed in with the measurement, from the vehicle maker’s information"


@dataclass(frozen=True, slots=True)
class Coil:
    key: str
    says: str
    quantity: str
    unit: str


COILS = {
    coil.key: coil
    for coil in (
        Coil("sensor", "Wheel-speed sensor with a coil", "sensor_resistance", "kohm"),
        Coil("relay", "Relay", "relay_coil_resistance", "ohm"),
        Coil("inlet", "Inlet valve", "inlet_valve_resistance", "ohm"),
        Coil("outlet", "Outlet valve", "outlet_valve_resistance", "ohm"),
        Coil("isolation", "Isolation valve", "isolation_valve_resistance", "ohm"),
        Coil("actuator", "Flow-control actuator", "actuator_resistance", "ohm"),
        Coil("motor", "Motor", "motor_resistance", "ohm"),
        Coil("other", "Another coil of copper", "coil_resistance", "ohm"),
    )
}
NAMES = {
    "sensor_resistance": "Wheel-speed sensor resistance",
    "relay_coil_resistance": "Relay coil resistance",
    "inlet_valve_resistance": "Inlet valve coil resistance",
    "outlet_valve_resistance": "Outlet valve coil resistance",
    "isolation_valve_resistance": "Isolation valve coil resistance",
    "actuator_resistance": "Flow-control actuator resistance",
    "motor_resistance": "Modulator motor resistance",
    "coil_resistance": "Coil resistance",
}


@dataclass(frozen=True, slots=True)
class _Case:
    """One measurement: the coil, ohms measured at kelvin, and at the limit's own temperature."""

    coil: Coil
    measured: float
    kelvin: float
    reference: float
    at_reference: float
    limit: Limit | None
    typed: bool

    @property
    def says(self) -> str:
        if abs(self.kelvin - self.reference) < 0.05:
            return f"{self.shown(self.measured)} at {degrees(self.kelvin)}."
        return (
            f"{self.shown(self.measured)} at {degrees(self.kelvin)} is "
            f"{self.shown(self.at_reference)} at {degrees(self.reference)}."
        )

    def shown(self, ohms: float) -> str:
        """In the coil's own unit, and in ohms where that would leave only zeros to read."""
        small = self.coil.unit == "kohm" and ohms < 100
        return format_value(ohms, "ohm" if small else self.coil.unit)

    def warmed(self, ohms: float, degrees_c: float) -> float:
        """What `ohms` at the reference are at another temperature."""
        at_20 = resistance_at_20c(ohms, celsius(self.reference))
        return resistance_at(at_20, degrees_c)

    def limit_at(self, degrees_c: float) -> Limit | None:
        """What the meter should show at a temperature."""
        if self.limit is None:
            return None
        low, high = (
            None if bound is None else self.warmed(bound, degrees_c)
            for bound in (self.limit.low, self.limit.high)
        )
        return Limit(low, high, self.coil.unit)


def _work_out(given: Given, known: Known) -> Outcome:
    case = _case(given, known)
    found = judge(
        case.at_reference,
        case.limit,
        corrected={"temperature": case.says},
    )
    should = case.limit_at(celsius(case.kelvin))
    allowed = _allowed(case) if case.typed else None
    return Outcome(
        case.says
        + (f" As warm as it is, the meter should show {_round(should)}." if should else ""),
        (
            Figure(
                case.coil.quantity,
                NAMES[case.coil.quantity],
                case.at_reference,
                case.coil.unit,
                keep=True,
                allowed=allowed,
                reason=case.says,
            ),
        ),
        worst_first(_findings(case, found)),
        (
            (
                "Two degrees of doubt about the coil’s own temperature are 0.8 % of its "
                "resistance. After driving, a coil is warmer than the air around it."
            ),
            (
                "The correction is for copper alone. A two-wire active sensor is electronics: its "
                "current is measured, not its resistance."
            ),
        ),
        table=_table(case),
        charts=(_chart(case),),
        sources=(IEC_60028,),
        temperature_k=case.kelvin,
        corrected=case.says,
    )


def _round(limit: Limit) -> str:
    """The limit with the digits that the correction deserves."""
    low, high = (
        None if bound is None else to_si(float(f"{from_si(bound, limit.unit):.4g}"), limit.unit)
        for bound in (limit.low, limit.high)
    )
    return limit_in_words(Limit(low, high, limit.unit))


def _case(given: Given, known: Known) -> _Case:
    coil = COILS[given.choice("coil")]
    measured, kelvin = given.number("resistance"), given.number("temperature")
    low, high = given.number_or_none("low"), given.number_or_none("high")
    typed = low is not None or high is not None
    if low is not None and high is not None and low > high:
        raise InputError("The lowest allowed is above the highest.", "low")
    limit: Limit | None
    if typed:
        limit = Limit(low, high, coil.unit)
    else:
        known_limit = known.limits.get(coil.quantity)
        limit = known_limit.limit if known_limit else None
    reference = _reference(limit)
    with refused_at("temperature"):
        at_20 = resistance_at_20c(measured, celsius(kelvin))
        at_reference = resistance_at(at_20, celsius(reference))
    return _Case(coil, measured, kelvin, reference, at_reference, limit, typed)


def _reference(limit: Limit | None) -> float:
    """The temperature, in kelvin, that the limit holds at: 20 °C where it does not say."""
    for condition in limit.conditions if limit else ():
        if condition.key == "temperature" and None not in (condition.low, condition.high):
            middle = ((condition.low or 0.0) + (condition.high or 0.0)) / 2
            # Half a degree beside 20 °C is how it was written down, not meant.
            return TWENTY if abs(middle - TWENTY) < 0.5 else middle
    return TWENTY


def _allowed(case: _Case) -> Allowed:
    assert case.limit is not None
    return Allowed(
        case.coil.unit, _TYPED, case.limit.low, case.limit.high, f"at {degrees(case.reference)}"
    )


def _findings(case: _Case, found: Verdict) -> list[Finding]:
    if case.limit is None:
        return [
            Finding(
                "unknown",
                "No limit is known for this coil. Compare it with its neighbours at the same "
                "temperature, or type in the lowest and highest that the vehicle maker gives.",
            )
        ]
    if found.kind is VerdictKind.OUTSIDE:
        return [Finding("bad", _why_outside(found))]
    if found.kind is VerdictKind.NEAR:
        return [Finding("near", "Close to a limit: see that the coil’s temperature is right.")]
    return [
        Finding(
            "good",
            "The coil’s copper is in order. That does not show a break that opens when it is "
            "moved or hot, a short to the body, or the wires to it.",
        )
    ]


def _doubt(given: Given, known: Known) -> InputError | None:
    """A unit that would have been forgotten at the meter: 1.4 Ω where 1.28 to 1.50 kΩ are usual."""
    try:
        case = _case(given, known)
    except InputError:
        return None
    if case.limit is None:
        return None
    # As a meter shows it: what was typed in which unit is not known here.
    shown_in = "ohm" if case.measured < 1000 else "kohm"
    doubt = unit_doubt(case.measured, shown_in, case.limit.low, case.limit.high)
    return InputError(doubt.sentence, "resistance") if doubt else None


def _why_outside(found: Verdict) -> str:
    if found.side == "low":
        return (
            "Too little resistance points to shorted turns, to a path beside the coil, or to a "
            "temperature that was noted too high."
        )
    return (
        "Too much resistance points to a bad joint inside or at the pins, or to a coil that is "
        "warmer than noted. Clean the pins and measure once more."
    )


def _table(case: _Case) -> Table:
    rows = []
    for at in sorted({*_SHOWN_AT, round(celsius(case.kelvin), 1)}):
        limit = case.limit_at(at)
        rows.append(
            (
                f"{format_number(at)} °C",
                case.shown(to_si(float(f"{_in_unit(case, at):.4g}"), case.coil.unit)),
                _round(limit) if limit else "–",
            )
        )
    return Table(
        "What the meter shows as the coil warms",
        ("Coil at", "This coil", "Allowed there"),
        tuple(rows),
    )


def _in_unit(case: _Case, at: float) -> float:
    return from_si(case.warmed(case.at_reference, at), case.coil.unit)


def _chart(case: _Case) -> Chart:
    unit = case.coil.unit
    ends = (min(_SHOWN_AT[0], celsius(case.kelvin)), max(_SHOWN_AT[-1], celsius(case.kelvin)))
    layers: list[Layer] = []
    if case.limit and case.limit.low is not None and case.limit.high is not None:
        layers.append(
            Band(
                "Allowed",
                tuple(
                    (
                        at,
                        from_si(case.warmed(case.limit.low, at), unit),
                        from_si(case.warmed(case.limit.high, at), unit),
                    )
                    for at in ends
                ),
            )
        )
    layers += [
        Line("This coil", tuple((at, _in_unit(case, at)) for at in ends), dashed=True),
        Dots("Measured", ((celsius(case.kelvin), from_si(case.measured, unit)),)),
    ]
    return Chart(
        "Resistance as the coil warms",
        f"A straight line through the measured {case.shown(case.measured)} at "
        f"{degrees(case.kelvin)}" + (", with what is allowed around it." if case.limit else "."),
        Axis("Coil temperature", "°C"),
        Axis("Resistance", symbol_of(unit)),
        tuple(layers),
    )


COIL_RESISTANCE = MeasurementKind(
    key="coil_resistance",
    name="Coil resistance at its temperature",
    group=Group.ELECTRICS,
    purpose="Brings a coil that was measured warm or cold to the temperature its limit holds at.",
    fields=(
        Choice("coil", "Coil of", tuple((coil.key, coil.says) for coil in COILS.values())),
        Number(
            "resistance",
            "Resistance measured",
            Kind.RESISTANCE,
            "ohm",
            help=(
                "At the part’s own pins, less what the meter shows with its leads held together. "
                "An open coil is entered as over range with the plain value instead."
            ),
            lowest=0.0,
            highest=1e6,
        ),
        Number(
            "temperature",
            "Temperature of the coil",
            Kind.TEMPERATURE,
            "degC",
            help="Of the part, not of the air: long parked, they are the same.",
            lowest=COLDEST,
            highest=HOTTEST,
        ),
        Number(
            "low",
            "Lowest allowed at 20 °C",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            help="Only where the pages for this vehicle give none, or another.",
            lowest=0.0,
            highest=1e6,
        ),
        Number(
            "high",
            "Highest allowed at 20 °C",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            lowest=0.0,
            highest=1e6,
        ),
    ),
    quantities=tuple(
        DerivedQuantity(coil.quantity, NAMES[coil.quantity], Kind.RESISTANCE, coil.unit)
        for coil in COILS.values()
    ),
    work_out=_work_out,
    place="any",
    cautions=(POWER_OFF, NO_SQUIB),
    doubt=_doubt,
)
