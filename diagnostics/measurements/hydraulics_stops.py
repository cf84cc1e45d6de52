"""Steering pressure at both stops against the pump's own. Pure."""

from __future__ import annotations

from diagnostics.compute.hydraulics import WARM_FLUID, compared, piston_force
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given
from diagnostics.measurements.hydraulics_pictures import sides_chart
from diagnostics.measurements.hydraulics_relief import HIGHEST, pressure_field
from diagnostics.measurements.hydraulics_words import (
    FLUID,
    PUMP_CAUTIONS,
    PUMP_TEST_SOURCE,
    bar,
    percent,
    warm_enough,
)
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.units import Kind

_STOP_BEHIND = 0.06
"""Pressure at a stop below the pump's own by more than this is lost in the gear. Common practice,
no source."""


def _stops(given: Given, known: Known) -> Outcome:
    left, right = given.number("left"), given.number("right")
    alone, fluid = given.number_or_none("alone"), given.number_or_none("fluid")
    area = given.number_or_none("area")
    with refused_at("left"):
        found = compared({"left": left, "right": right})
    lower = min(left, right)
    figures = [
        Figure(
            "steering_pressure",
            "Steering pressure at the wheel’s stop",
            lower,
            "bar",
            keep=True,
            decimals=1,
            reason=f"The lower of {bar(left)} left and {bar(right)} right.",
        ),
        Figure("stop_difference", "Left against right", found.share, "%", decimals=1),
    ]
    if area is not None:
        force = piston_force(lower, area)
        figures.append(Figure("rack_force", "Force on the rack", force, "kN", decimals=2))
    values = {"Left": left, "Right": right} | ({"Pump alone": alone} if alone is not None else {})
    low = [found.lowest.capitalize()] if found.share > _STOP_BEHIND else []
    findings = _of_stops(left, right, alone, known)
    warm = warm_enough(fluid, *WARM_FLUID)
    return Outcome(
        f"{bar(left)} at the left stop, {bar(right)} at the right, {percent(found.share)} apart.",
        tuple(figures),
        worst_first([*findings, *([warm] if warm else [])]),
        (
            (
                "At each stop for a moment only. Both stops and the pump alone are measured with "
                "the fluid equally warm and at the same engine speed."
            ),
        ),
        charts=(sides_chart(values, low),),
        sources=(
            "F = p A on the piston of the rack.",
            (
                "In per cent of the higher side; what the stop does not reach of the pump’s own "
                "pressure is lost in the gear: common practice, no source."
            ),
            PUMP_TEST_SOURCE,
        ),
        temperature_k=fluid,
        engine="running",
    )


def _of_stops(left: float, right: float, alone: float | None, known: Known) -> list[Finding]:
    findings = []
    judged = verdict_of(min(left, right), "steering_pressure", known, engine="running")
    if judged and judged.kind is VerdictKind.OUTSIDE:
        says = (
            "Too little at a stop. Whether the gear or the pump is weak, the pressure of the pump "
            "alone tells."
        )
        findings.append(Finding("bad", says))
    if alone is not None:
        findings.append(_against_pump(left, right, alone))
    sides = compared({"left": left, "right": right})
    if sides.share > _STOP_BEHIND:
        findings.append(
            Finding(
                "bad",
                f"The {sides.lowest} stop stays {percent(sides.share)} behind: it points to a seal "
                "or a valve edge of that side in the gear.",
            )
        )
    return findings


def _against_pump(left: float, right: float, alone: float) -> Finding:
    best = max(left, right)
    if best > alone * (1 + _STOP_BEHIND):
        return Finding(
            "unknown",
            f"{bar(best)} at a stop is more than the {bar(alone)} of the pump alone. One of them "
            "was read too early or with colder fluid: measure both again.",
        )
    if best < alone * (1 - _STOP_BEHIND):
        return Finding(
            "bad",
            f"Neither stop reaches the {bar(alone)} of the pump alone: the gear passes fluid "
            "inside on both sides, or its valve does.",
        )
    return Finding("good", "The better stop reaches what the pump alone can do.")


STOP_PRESSURE = MeasurementKind(
    key="stop_pressure",
    name="Steering pressure at both stops",
    group=Group.HYDRAULICS,
    purpose="Parts a gear that leaks inside from a weak pump.",
    fields=(
        Number(
            "left",
            "At the left stop",
            Kind.PRESSURE,
            "bar",
            lowest=1000.0,
            highest=HIGHEST,
        ),
        Number(
            "right",
            "At the right stop",
            Kind.PRESSURE,
            "bar",
            lowest=1000.0,
            highest=HIGHEST,
        ),
        pressure_field("alone", "Pump alone, valve closed", help="Within five seconds."),
        Number(
            "area",
            "Area of the rack’s piston",
            Kind.AREA,
            "cm2",
            required=False,
            known="rack_piston_area",
            lowest=1e-5,
            highest=1e-1,
        ),
        FLUID,
    ),
    quantities=(
        DerivedQuantity(
            "steering_pressure", "Steering pressure at the wheel’s stop", Kind.PRESSURE, "bar"
        ),
        DerivedQuantity("stop_difference", "Left against right", Kind.RATIO, "%"),
        DerivedQuantity("rack_force", "Force on the rack", Kind.FORCE, "kN"),
    ),
    work_out=_stops,
    cautions=PUMP_CAUTIONS,
)
