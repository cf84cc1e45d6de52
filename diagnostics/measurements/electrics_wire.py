"""A wire by its length and cross-section: what it ought to measure and to lose. Pure."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.compute.electrics import wire_resistance
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.electrics_drops import COPPER_WIRE, LENGTH, SECTION, WIRE_DROP
from diagnostics.measurements.electrics_words import (
    COLDEST,
    HOTTEST,
    IEC_60028,
    NO_SQUIB,
    POWER_OFF,
    amps,
    celsius,
    degrees,
    ohms,
    volts,
)
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.units import Kind, format_value

WIRE_RESISTANCE = DerivedQuantity(
    "wire_resistance", "Resistance of one wire end to end", Kind.RESISTANCE, "ohm"
)


def _wire(given: Given, known: Known) -> Outcome:
    length, section = given.number("length"), given.number("section")
    kelvin, current = given.number_or_none("temperature"), given.number_or_none("current")
    with refused_at("temperature"):
        expected = wire_resistance(length, section, 20.0 if kelvin is None else celsius(kelvin))
    figures = [Figure("copper_resistance", "Resistance of sound copper", expected, "mohm")]
    at = "20 °C" if kelvin is None else degrees(kelvin)
    says = (
        f"{format_value(length, 'm')} of {format_value(section, 'mm2')} copper has "
        f"{ohms(expected)} at {at}."
    )
    if current is not None:
        figures.append(Figure("wire_drop", WIRE_DROP.name, expected * current, "mV"))
        says += f" Under {amps(current)} it should lose {volts(expected * current)}."
    measured = _net(given)
    findings = []
    if measured is not None:
        figures.append(
            Figure(
                "wire_resistance", "Resistance of one wire end to end", measured, "ohm", keep=True
            )
        )
        findings.append(_wire_finding(measured, expected, known))
    return Outcome(
        says,
        tuple(figures),
        worst_first(findings),
        (
            (
                "One strand that still holds shows as a good wire on an ohmmeter. Only the drop "
                "under load shows what the wire can carry."
            ),
        ),
        sources=(COPPER_WIRE, IEC_60028),
        temperature_k=kelvin,
    )


def _net(given: Given) -> float | None:
    """The resistance measured, less that of the meter's leads."""
    measured, leads = given.number_or_none("resistance"), given.number_or_none("leads") or 0.0
    if measured is None:
        return None
    if leads > measured:
        raise InputError("The leads alone cannot show more than leads and wire.", "leads")
    return measured - leads


def _wire_finding(measured: float, expected: float, known: Known) -> Finding:
    found = verdict_of(measured, "wire_resistance", known)
    if found and found.kind is VerdictKind.OUTSIDE:
        return Finding("bad", "Too much: look at both ends and at every place where it bends.")
    if measured > expected + 0.2:
        return Finding(
            "near",
            f"{ohms(measured)} measured, {ohms(measured - expected)} more than its copper. An "
            "ohmmeter is hardly surer than that: measure the drop under load.",
        )
    return Finding("good", f"{ohms(measured)} measured is what such copper and a meter show.")


WIRE = MeasurementKind(
    key="wire",
    name="A wire by its length and cross-section",
    group=Group.ELECTRICS,
    purpose="Says what a sound wire ought to measure and to lose, before one is blamed.",
    fields=(
        Number(
            "length", LENGTH.label, Kind.LENGTH, "m", help=LENGTH.help, lowest=0.01, highest=100.0
        ),
        replace(SECTION, required=True),
        Number(
            "current",
            "Current it carries",
            Kind.CURRENT,
            "A",
            required=False,
            lowest=0.0,
            highest=2000.0,
        ),
        Number(
            "resistance",
            "Resistance measured end to end",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            help="Both plugs off, moving the harness; the highest.",
            lowest=0.0,
            highest=1e6,
        ),
        Number(
            "leads",
            "Of that, the meter’s own leads",
            Kind.RESISTANCE,
            "ohm",
            required=False,
            help="What it shows with the leads held together.",
            lowest=0.0,
            highest=10.0,
        ),
        Number(
            "temperature",
            "Temperature of the wire",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            lowest=COLDEST,
            highest=HOTTEST,
        ),
    ),
    quantities=(
        WIRE_RESISTANCE,
        DerivedQuantity("copper_resistance", "Resistance of sound copper", Kind.RESISTANCE, "mohm"),
        WIRE_DROP,
    ),
    work_out=_wire,
    place="any",
    cautions=(POWER_OFF, NO_SQUIB),
)
