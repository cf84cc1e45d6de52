"""Brake fluid: boiling point, water and copper against the grade. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.fluids import (
    FIELD_BOILING,
    FIELD_COPPER,
    FIELD_WATER,
    GRADES,
    WET_WATER,
    Grade,
    judge_boiling,
    judge_water,
)
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import TONES
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome, Tone
from shop.charting import Axis, Bars, Chart, Level, Role, Table
from shop.units import Kind, format_value, from_si

_GRADE_SOURCE = (
    "Dry and wet boiling points: FMVSS 116 (49 CFR 571.116), read second hand in pages that "
    "quote it."
)
_WATER_SOURCE = "Change at 3 % of water: common practice, no source."
_COPPER_SOURCE = "Change above 200 ppm of copper: common practice, no source."
_ROLES: dict[Tone, Role] = {"good": "good", "near": "near", "bad": "bad", "unknown": "value"}


@dataclass(frozen=True, slots=True)
class _Part:
    """What one of the values comes to."""

    figure: Figure
    finding: Finding


def work_out(given: Given, known: Known) -> Outcome:
    """Each value given against the grade or the field figure. Raises InputError for none."""
    grade = GRADES[given.choice("grade")]
    boiling = given.number_or_none("boiling")
    water = given.number_or_none("water")
    copper = given.number_or_none("copper")
    if boiling is None and water is None and copper is None:
        raise InputError("Give the boiling point, the water, or both.", "boiling")
    parts = []
    sources = []
    if boiling is not None:
        parts.append(_boiling(boiling, grade))
        sources.append(_GRADE_SOURCE)
    if water is not None:
        parts.append(_water(water, grade))
        sources += [_WATER_SOURCE, _GRADE_SOURCE]
    if copper is not None:
        parts.append(_copper(copper))
        sources.append(_COPPER_SOURCE)
    findings = sorted((part.finding for part in parts), key=lambda one: TONES.index(one.tone))
    return Outcome(
        says=_says(grade, boiling, water, copper),
        figures=tuple(part.figure for part in parts),
        findings=tuple(findings),
        notes=_notes(grade, boiling, water, given.choice("drawn")),
        charts=() if boiling is None else (_chart(boiling, grade, parts[0].finding.tone),),
        sources=tuple(dict.fromkeys(sources)),
    )


def _celsius(kelvin: float) -> str:
    return format_value(kelvin, "degC")


def _says(grade: Grade, boiling: float | None, water: float | None, copper: float | None) -> str:
    found = []
    if boiling is not None:
        found.append(f"boils at {_celsius(boiling)}")
    if water is not None:
        found.append(f"shows {format_value(water, '%', digits=2)} of water")
    if copper is not None:
        found.append(f"holds {format_value(copper, 'ppm', decimals=0)} of copper")
    listed = " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)
    return f"The {grade.name} {listed}."


def _boiling(kelvin: float, grade: Grade) -> _Part:
    judged = judge_boiling(kelvin, grade)
    dry, wet = _celsius(grade.dry), _celsius(grade.wet)
    shown = _celsius(kelvin)
    tone: Tone
    match judged.state:
        case "below_wet":
            tone = "bad"
            says = (
                f"{shown} is below the wet minimum of {grade.name}, {wet}. Hot brakes can boil it, "
                "and then the pedal goes to the floor. It does not show where the water came from, "
                "nor whether the right fluid is in."
            )
        case "as_new":
            tone = "good"
            says = (
                f"{shown} is at or above the dry minimum of {grade.name}, {dry}: as new. A value "
                "far above it can also mean a better grade than the one chosen here."
            )
        case _ if grade.silicone:
            tone = "near"
            says = (
                f"{shown} lies between wet ({wet}) and dry ({dry}). Silicone takes up no water, so "
                "another fluid or drops of water in the sample are likelier than wear."
            )
        case _:
            tone = "near" if judged.early else "good"
            used = format_value(judged.share, "%", decimals=0)
            says = (
                f"{shown} lies between wet ({wet}) and dry ({dry}), {used} of the way down: it has "
                "taken up water in service, as fluid does."
            )
            if judged.early:
                least = _celsius(FIELD_BOILING[grade.key])
                says += f" Many shops change {grade.name} below {least}."
    figure = Figure(
        "fluid_boiling_point",
        "Boiling point of the brake fluid",
        kelvin,
        "degC",
        keep=True,
        allowed=Allowed("degC", _GRADE_SOURCE, low=grade.wet, conditions=f"{grade.name}, wet"),
        reason=judged.reason,
    )
    return _Part(figure, Finding(tone, says))


def _water(ratio: float, grade: Grade) -> _Part:
    name = "Water in the brake fluid"
    if grade.silicone:
        says = (
            "DOT 5 takes up no water, so a water tester says nothing about it: water in the system "
            "lies in drops at the lowest place. If the tester reads water here, glycol fluid may "
            "be in the system."
        )
        figure = Figure("fluid_water", name, ratio, "%", decimals=1)
        return _Part(figure, Finding("unknown", says))
    figure = Figure(
        "fluid_water",
        name,
        ratio,
        "%",
        keep=True,
        decimals=1,
        allowed=Allowed("%", _WATER_SOURCE, high=FIELD_WATER, conditions=grade.name),
        reason="As the tester shows it; testers by conductivity depend on the fluid.",
    )
    return _Part(figure, _about_water(ratio, grade))


def _about_water(ratio: float, grade: Grade) -> Finding:
    shown = format_value(ratio, "%", digits=2)
    definition = format_value(WET_WATER, "%", decimals=1)
    match judge_water(ratio):
        case "as_wet":
            return Finding(
                "bad",
                f"{shown} of water is at least as much as in the test for the wet boiling point "
                f"({definition} by weight): such a {grade.name} may boil below its wet minimum.",
            )
        case "change":
            return Finding(
                "bad" if ratio > FIELD_WATER else "near",
                f"{shown} of water: many shops change the fluid from "
                f"{format_value(FIELD_WATER, '%')} on. It comes near the {definition} at which the "
                "wet boiling point is defined.",
            )
    return Finding(
        "good",
        f"{shown} of water is below {format_value(FIELD_WATER, '%')}. The reservoir is drier than "
        "the calipers: fluid drawn there tells more.",
    )


def _copper(ratio: float) -> _Part:
    bad = ratio > FIELD_COPPER
    figure = Figure(
        "fluid_copper",
        "Copper in the brake fluid",
        ratio,
        "ppm",
        keep=True,
        decimals=0,
        allowed=Allowed("ppm", _COPPER_SOURCE, high=FIELD_COPPER),
    )
    shown, most = (format_value(value, "ppm", decimals=0) for value in (ratio, FIELD_COPPER))
    says = (
        f"{shown} of copper is above {most}: the fluid no longer keeps metal from corroding."
        if bad
        else f"{shown} of copper is no more than {most}. It says nothing about the boiling point."
    )
    return _Part(figure, Finding("bad" if bad else "good", says))


def _notes(grade: Grade, boiling: float | None, water: float | None, drawn: str) -> tuple[str, ...]:
    notes = []
    if drawn == "reservoir":
        notes.append("Drawn from the reservoir, where the fluid is driest.")
    if drawn == "caliper":
        notes.append("Drawn at a caliper or wheel cylinder, where it gets hot.")
    if grade.silicone:
        notes.append(
            "DOT 5 is silicone and mixes with none of the others. DOT 5.1 is not silicone, in "
            "spite of its number."
        )
    if _disagree(grade, boiling, water):
        notes.append(
            "Boiling point and water do not go together. The boiling point counts: a tester by "
            "conductivity depends on the fluid."
        )
    return tuple(notes)


def _disagree(grade: Grade, boiling: float | None, water: float | None) -> bool:
    if boiling is None or water is None or grade.silicone:
        return False
    wet = judge_water(water) == "as_wet"
    return (boiling >= grade.dry and wet) or (boiling < grade.wet and water < FIELD_WATER / 2)


def _chart(kelvin: float, grade: Grade, tone: Tone) -> Chart:
    levels = tuple(
        Level(f"{name} minimum, {_celsius(at)}", from_si(at, "degC"), role)
        for name, at, role in _minimums(grade)
    )
    return Chart(
        title=f"Boiling point against {grade.name}",
        says=(
            f"One bar of {_celsius(kelvin)} against the wet minimum of {_celsius(grade.wet)} and "
            f"the dry minimum of {_celsius(grade.dry)}."
        ),
        x=Axis(""),
        y=Axis("Boiling point", "°C", zero=True),
        layers=(
            Bars("Boiling point", (("Measured", from_si(kelvin, "degC")),), (_ROLES[tone],)),
            *levels,
        ),
        table=Table(
            f"Boiling point against {grade.name}",
            ("What", "Boiling point"),
            (
                ("Measured", _celsius(kelvin)),
                ("Wet minimum", _celsius(grade.wet)),
                ("Dry minimum", _celsius(grade.dry)),
            ),
        ),
    )


def _minimums(grade: Grade) -> tuple[tuple[str, float, Role], ...]:
    return (("Wet", grade.wet, "limit"), ("Dry", grade.dry, "soft"))


BRAKE_FLUID = MeasurementKind(
    key="brake_fluid",
    name="Brake fluid",
    group=Group.FLUID,
    purpose="Whether the fluid still stands the heat, by its boiling point or its water.",
    cautions=(
        "Brake fluid strips paint and irritates eyes and skin: glasses, gloves, water at hand.",
        "Never put drained fluid back. Top up from a sealed container of the grade on the cap.",
        "DOT 5 is silicone and must not be mixed with DOT 3, DOT 4 or DOT 5.1.",
    ),
    fields=(
        Choice(
            "grade",
            "Grade",
            tuple(
                (one.key, f"{one.name}, silicone" if one.silicone else one.name)
                for one in GRADES.values()
            ),
            known="fluid_grade",
            help="As on the cap or in the maker's information, not by the colour.",
        ),
        Number(
            "boiling",
            "Boiling point measured",
            Kind.TEMPERATURE,
            "degC",
            required=False,
            lowest=363.15,
            highest=623.15,
            help="By a tester that heats a sample.",
        ),
        Number(
            "water",
            "Water measured",
            Kind.RATIO,
            "%",
            required=False,
            lowest=0.0,
            highest=0.1,
            help="As the tester or strip shows it.",
        ),
        Number(
            "copper",
            "Copper by test strip",
            Kind.RATIO,
            "ppm",
            required=False,
            lowest=0.0,
            highest=0.01,
        ),
        Choice(
            "drawn",
            "Drawn from",
            (("reservoir", "The reservoir"), ("caliper", "A caliper or wheel cylinder")),
            required=False,
        ),
    ),
    quantities=(
        DerivedQuantity(
            "fluid_boiling_point", "Boiling point of the brake fluid", Kind.TEMPERATURE, "degC"
        ),
        DerivedQuantity("fluid_water", "Water in the brake fluid", Kind.RATIO, "%"),
        DerivedQuantity("fluid_copper", "Copper in the brake fluid", Kind.RATIO, "ppm"),
    ),
    work_out=work_out,
)

KINDS: tuple[MeasurementKind, ...] = (BRAKE_FLUID,)
