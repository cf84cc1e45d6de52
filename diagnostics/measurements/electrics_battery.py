"""The battery at rest: its charge, and whether it may be measured upon. Pure."""

from __future__ import annotations

from diagnostics.compute.electrics_battery import (
    AGM_SOURCE,
    BCI_SOURCE,
    BCI_TABLE,
    CHARGE_FIRST,
    OTHER_SOURCE,
    REST_SECONDS,
    SURFACE_CHARGE,
    Charge,
    charge_from_rest_voltage,
)
from diagnostics.measurements.electrics_words import BATTERY_GAS, celsius, degrees, percent, volts
from diagnostics.measurements.fields import Choice, Number, Tick
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.charting import Axis, Chart, Dots, Level, Line, Table
from shop.units import Kind, format_value, from_si, to_si

_TABLE_AT = 26.7
_FAR_FROM_TABLE = 15.0
"""Kelvin from the table's temperature at which that is said. Common practice, no source."""
_MAT = "mat"


def _work_out(given: Given, known: Known) -> Outcome:
    rest_volts, mat = given.number("voltage"), given.choice("sort") == _MAT
    with refused_at("voltage"):
        charge = charge_from_rest_voltage(rest_volts, absorbed_mat=mat)
    rested = _rested(given)
    findings = _findings(rest_volts, charge, mat=mat)
    if not rested:
        findings = [_not_rested(rest_volts), *(one for one in findings if one.tone == "bad")]
    return Outcome(
        _says(rest_volts, charge, rested=rested),
        (
            Figure(
                "battery_rest_voltage",
                "Battery voltage at rest",
                rest_volts,
                "V",
                # A voltage with surface charge on it may not stand as the rest voltage.
                keep=rested,
                decimals=2,
                reason=_rest_in_words(given),
            ),
            Figure("battery_charge", "Battery charge", charge.share, "%", decimals=0),
        ),
        worst_first(findings),
        tuple(_notes(given, charge, mat=mat)),
        charts=(_chart(rest_volts, charge),),
        sources=(
            f"{BCI_SOURCE[0].upper()}{BCI_SOURCE[1:]}; straight lines between its points.",
            f"For comparison, {OTHER_SOURCE}.",
            "Rest of 6 to 24 h, or surface charge removed: read second-hand.",
            *((f"{AGM_SOURCE[0].upper()}{AGM_SOURCE[1:]}.",) if mat else ()),
        ),
        temperature_k=given.number_or_none("temperature"),
        engine="off",
    )


def _rested(given: Given) -> bool:
    return given.ticked("removed") or (given.number_or_none("rest") or 0.0) >= REST_SECONDS


def _rest_in_words(given: Given) -> str:
    rest = given.number_or_none("rest")
    hours = f"After {format_value(rest, 'h')} of rest" if rest is not None else "Rest not noted"
    return f"{hours}{', surface charge removed' if given.ticked('removed') else ''}."


def _says(rest_volts: float, charge: Charge, *, rested: bool) -> str:
    if charge.low == charge.high:
        much = f"about {percent(charge.share)} charged"
    else:
        much = f"{percent(charge.low)} to {percent(charge.high)} charged"
    if not rested:
        much = f"no more than {percent(charge.high)} charged, for it had not rested"
    elif charge.ends == "below":
        much = "discharged: below the end of the table"
    return f"{format_value(rest_volts, 'V', decimals=2)} at rest: {much}."


def _findings(rest_volts: float, charge: Charge, *, mat: bool) -> list[Finding]:
    if charge.ends == "below":
        return [
            Finding(
                "bad",
                "The battery is flat. Charge it slowly and test it before anything else is "
                "measured; a battery that was flat for long may not recover.",
            )
        ]
    if charge.low < 0.75:
        least = f"{format_value(CHARGE_FIRST, 'V', decimals=2)}, 75 % of a flooded battery"
        return [
            Finding(
                "bad",
                f"Below {least if not mat else '75 %'}: charge first, then measure. A weak "
                "battery sets supply flags in every module and spoils each drop that is measured.",
            )
        ]
    return [
        Finding(
            "good",
            "Charged enough to measure upon. Rest voltage does not show whether the battery still "
            "delivers its current: that takes a load test.",
        )
    ]


def _not_rested(rest_volts: float) -> Finding:
    return Finding(
        "unknown",
        "The battery had not rested for 6 hours and its surface charge was not removed, so "
        f"{format_value(rest_volts, 'V', decimals=2)} may be too high. Lamps on for a minute, off "
        "again, wait a little, and measure once more.",
    )


def _notes(given: Given, charge: Charge, *, mat: bool) -> list[str]:
    notes = [f"By another published table it would be {percent(charge.other)}: tables differ."]
    kelvin = given.number_or_none("temperature")
    if kelvin is None:
        notes.append(
            f"The table holds at {_TABLE_AT:g} °C; the battery’s temperature is not known."
        )
    elif abs(celsius(kelvin) - _TABLE_AT) > _FAR_FROM_TABLE:
        notes.append(
            f"The table holds at {_TABLE_AT:g} °C and the battery was at {degrees(kelvin)}: take "
            "the charge as a rough figure."
        )
    if charge.ends == "above" and given.number("voltage") > SURFACE_CHARGE and not mat:
        notes.append(
            f"More than {volts(SURFACE_CHARGE)} is surface charge, a charger that is still on, or "
            "another sort of battery."
        )
    if given.choice("sort") == "unknown":
        notes.append(
            "Taken as a flooded battery. An absorbed-mat battery stands 0.1 to 0.2 V higher, so "
            "its charge would be less than said."
        )
    return notes


def _chart(rest_volts: float, charge: Charge) -> Chart:
    return Chart(
        "Charge by rest voltage",
        f"{format_value(rest_volts, 'V', decimals=2)} on a line from 11.89 V, empty, to 12.65 V, "
        "full.",
        Axis("Voltage at rest", "V"),
        Axis("Charge", "%", low=0, high=100),
        (
            Line("Flooded, BCI", tuple((v, 100 * share) for v, share in BCI_TABLE), dots=True),
            Dots("This battery", ((rest_volts, from_si(charge.share, "%")),), "second"),
            Level("Charge first", CHARGE_FIRST, axis="x"),
        ),
        table=Table(
            "Rest voltage of a flooded battery",
            ("Voltage", "Charge"),
            tuple((format_value(v, "V", decimals=2), percent(c)) for v, c in reversed(BCI_TABLE)),
        ),
    )


BATTERY_REST = MeasurementKind(
    key="battery_rest",
    name="Battery at rest",
    group=Group.ELECTRICS,
    purpose="Shows whether the battery is charged enough for anything else to be measured.",
    fields=(
        Number(
            "voltage",
            "Voltage across the posts",
            Kind.VOLTAGE,
            "V",
            help="On the posts themselves, engine off, nothing switched on.",
            lowest=0.0,
            highest=20.0,
            usual=(10.0, 14.0),
        ),
        Choice(
            "sort",
            "Sort of battery",
            (
                ("flooded", "Flooded, with or without plugs"),
                (_MAT, "Absorbed mat (AGM)"),
                ("unknown", "Not known"),
            ),
        ),
        Number(
            "rest",
            "At rest for",
            Kind.TIME,
            "h",
            required=False,
            help="Since driving or charging: 6 hours at least.",
            lowest=0.0,
            highest=3600.0 * 24 * 400,
        ),
        Tick(
            "removed",
            "Surface charge removed",
            help="Lamps on for a minute, off again, and a few minutes waited.",
        ),
        Number(
            "temperature",
            "Temperature of the battery",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            lowest=to_si(-50, "degC"),
            highest=to_si(80, "degC"),
        ),
    ),
    quantities=(
        DerivedQuantity("battery_rest_voltage", "Battery voltage at rest", Kind.VOLTAGE, "V"),
        DerivedQuantity("battery_charge", "Battery charge", Kind.RATIO, "%"),
    ),
    work_out=_work_out,
    cautions=(BATTERY_GAS,),
)
