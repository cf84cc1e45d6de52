"""The alignment of all four wheels: totals, thrust, crosses and included angles. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from diagnostics.compute import alignment
from diagnostics.compute.verdict import judge
from diagnostics.measurements.alignment_pictures import from_above, table_of
from diagnostics.measurements.angle_words import both, clean, signed
from diagnostics.measurements.caster import (
    CASTER_SWEEP,
    HALF_DEGREE,
    cross_figure,
    cross_finding,
    pull_of_caster,
)
from diagnostics.measurements.fields import FOUR_WHEELS, Choice, Grid, Number
from diagnostics.measurements.given import Given, InputError, Row
from diagnostics.measurements.judging import said_of, tone_of_verdict, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from diagnostics.measurements.side_slip import SIDE_SLIP
from diagnostics.measurements.toe import (
    IN_SERVICE,
    READY,
    STEADY,
    TOE,
    WHEELS,
    toe_findings,
    total_figure,
)
from shop.units import Kind, to_si

_THRUST = "Thrust angle = half the difference of the rear toes (read second-hand)"
_INCLUDED = "Included angle = inclination + camber, and what it parts: common practice, no source"
_STEEP, _LEANING = to_si(15, "deg"), to_si(30, "deg")
_NAMES = dict(FOUR_WHEELS)

_FIELDS = (
    Grid(
        "wheels",
        "Each wheel",
        FOUR_WHEELS,
        (
            Number("toe", "Toe", Kind.ANGLE, "deg", False, lowest=-_STEEP, highest=_STEEP),
            Number("camber", "Camber", Kind.ANGLE, "deg", False, lowest=-_STEEP, highest=_STEEP),
            Number("caster", "Caster", Kind.ANGLE, "deg", False, lowest=-_STEEP, highest=_STEEP),
            Number("sai", "Inclination", Kind.ANGLE, "deg", False, lowest=0, highest=_LEANING),
        ),
        help="Toe-in positive, camber positive when the top leans out, caster positive when the "
        "axis leans back at its top. Inclination: of the steering axis.",
    ),
    Choice(
        "thrust_sign",
        "Thrust angle is positive",
        (("right", "To the right"), ("left", "To the left")),
        default="right",
        known="thrust_sign",
        help="As the maker's or the aligner's sheet has it. It is kept with the figure.",
    ),
)
Angles = Mapping[str, float]
_JUDGED = ("Camber:", "Caster:", "Cross camber:", "Cross caster:")


def work_out(given: Given, known: Known) -> Outcome:
    """Totals, thrust angle, crosses and included angles of what was measured of the wheels."""
    rows = given.rows("wheels")
    toe, camber, caster, sai = (_column(rows, name) for name in ("toe", "camber", "caster", "sai"))
    if not (toe or camber or caster or sai):
        raise InputError("Fill in at least one angle.", "wheels")
    towards = cast(alignment.Towards, given.choice("thrust_sign") or "right")
    thrust = alignment.thrust(toe["LR"], toe["RR"]) if _pair(toe, "rear") else None
    found = [
        *_toe_part(toe, known),
        *(_thrust_part(thrust, towards, known) if thrust else ()),
        *_cross_part(camber, caster, known),
        *_wheel_part("wheel_camber", "Camber", camber, known),
        *_wheel_part("wheel_caster", "Caster", caster, known),
        *_included_part(sai, camber),
    ]
    findings = _told([one for one in found if isinstance(one, Finding)])
    chart = from_above(toe, thrust) if toe else None
    return Outcome(
        says=_says(toe, thrust),
        figures=tuple(one for one in found if isinstance(one, Figure)),
        findings=worst_first(findings),
        notes=_notes(toe, thrust, towards),
        table=table_of(rows, _NAMES),
        charts=(chart,) if chart else (),
        sources=(IN_SERVICE, _THRUST, HALF_DEGREE, _INCLUDED),
    )


def _column(rows: Mapping[str, Row], name: str) -> Angles:
    return {
        wheel: cast(float, row[name]) for wheel, row in rows.items() if row.get(name) is not None
    }


def _pair(angles: Angles, axle: str) -> bool:
    return all(wheel in angles for wheel in WHEELS[axle])


Part = tuple[Figure | Finding, ...]


def _toe_part(toe: Angles, known: Known) -> Part:
    part: list[Figure | Finding] = []
    for axle, (left, right) in WHEELS.items():
        if _pair(toe, axle):
            total = clean(alignment.total_toe(toe[left], toe[right]))
            specified = known.figure(f"total_toe_specified/{axle}")
            part.append(total_figure(total, known, specified, axle))
            part += toe_findings(total, known, specified, axle)
    return tuple(part)


def _thrust_part(thrust: alignment.Thrust, towards: alignment.Towards, known: Known) -> Part:
    value = clean(thrust.by(towards))
    figure = Figure(
        quantity="thrust_angle",
        name=f"Thrust angle, positive to the {towards}",
        value=value,
        unit="deg",
        decimals=2,
        keep=True,
        reason=f"{signed(thrust.to_right)} positive to the right, {signed(thrust.to_left)} "
        "positive to the left.",
    )
    limit = known.limits.get("thrust_angle")
    if limit is None:
        return figure, Finding("unknown", f"{thrust.reason} No limit for it is known here.")
    found = judge(value, limit.limit)
    says = f"{said_of('Thrust angle', found)} {thrust.reason}"
    tone = tone_of_verdict(found.kind)
    if tone == "bad":
        says += (
            " The front wheels must steer against it, and the steering wheel stands off centre. "
            "This points to rear toe out of setting, a bent arm or a shifted axle. Which of them "
            "is not shown: look before the front is set to it."
        )
    return figure, Finding(tone, says)


def _cross_part(camber: Angles, caster: Angles, known: Known) -> Part:
    part: list[Figure | Finding] = []
    for axle, (left, right) in WHEELS.items():
        if _pair(camber, axle):
            difference = clean(alignment.cross(camber[left], camber[right]))
            figure = cross_figure("cross_camber", "Cross camber", difference, known, axle)
            part += [figure, cross_finding(figure, known, _pull_of_camber(difference))]
    if _pair(caster, "front"):
        difference = clean(alignment.cross(caster["LF"], caster["RF"]))
        figure = cross_figure("cross_caster", "Cross caster", difference, known, "front")
        part += [figure, cross_finding(figure, known, pull_of_caster(difference))]
    return tuple(part)


def _pull_of_camber(difference: float) -> str:
    side = "left" if difference > 0 else "right"
    return f"A car pulls to the side with more camber, here the {side} (common practice)."


def _told(findings: list[Finding]) -> list[Finding]:
    """Without the wheels' angles that are as set: those stand judged beside their figures."""
    as_set = [one for one in findings if one.tone == "good" and one.says.startswith(_JUDGED)]
    if not as_set:
        return findings
    said = "Camber and caster are as set, wherever nothing else is said of them."
    return [*(one for one in findings if one not in as_set), Finding("good", said)]


def _wheel_part(quantity: str, name: str, angles: Angles, known: Known) -> Part:
    """Single wheels are kept and judged where the pages give them a limit."""
    part: list[Figure | Finding] = []
    for wheel, value in angles.items():
        limit = known.limits.get(f"{quantity}/{wheel}")
        figure = Figure(
            quantity=quantity,
            name=name,
            value=clean(value),
            unit="deg",
            decimals=2,
            position=wheel,
            keep=limit is not None,
            reason=f"{both(value)} as measured.",
        )
        part.append(figure)
        if limit is not None:
            found = judge(figure.value, limit.limit)
            part.append(Finding(tone_of_verdict(found.kind), said_of(name, found), wheel))
    return tuple(part)


def _included_part(sai: Angles, camber: Angles) -> Part:
    wheels = [wheel for wheel in ("LF", "RF") if wheel in sai and wheel in camber]
    part: list[Figure | Finding] = [
        Figure(
            quantity="included_angle",
            name="Included angle",
            value=clean(alignment.included_angle(sai[wheel], camber[wheel])),
            unit="deg",
            decimals=2,
            position=wheel,
            reason="Inclination of the steering axis + camber.",
        )
        for wheel in wheels
    ]
    if len(wheels) == 2:
        reading = alignment.compare_uprights((sai["LF"], sai["RF"]), (camber["LF"], camber["RF"]))
        part.append(Finding("good" if reading.kind == "alike" else "bad", reading.reason))
    return tuple(part)


def _says(toe: Angles, thrust: alignment.Thrust | None) -> str:
    parts = [
        f"total toe {axle} {both(alignment.total_toe(toe[left], toe[right]))}"
        for axle, (left, right) in WHEELS.items()
        if _pair(toe, axle)
    ]
    if thrust is not None:
        side = "right" if thrust.to_right > 0 else "left"
        amount = signed(abs(thrust.to_right)).lstrip("+")
        straight = abs(thrust.to_right) < to_si(0.005, "deg")
        parts.append("no thrust angle" if straight else f"thrust {amount} to the {side}")
    if not parts:
        return "The angles of the wheels, side beside side."
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _notes(
    toe: Angles, thrust: alignment.Thrust | None, towards: alignment.Towards
) -> tuple[str, ...]:
    notes = [READY]
    if thrust is not None:
        notes.append(
            f"The thrust angle is kept as positive to the {towards}: {signed(thrust.by(towards))}. "
            f"By the other sign it would be {signed(-thrust.by(towards))}."
        )
    elif toe:
        notes.append("Without the toe of both rear wheels the thrust angle is not known.")
    return tuple(notes)


ALIGNMENT = MeasurementKind(
    key="alignment",
    name="Alignment of four wheels",
    group=Group.STEERING,
    purpose="Works out total toe, thrust angle, differences from side to side and included angles.",
    fields=_FIELDS,
    quantities=(
        DerivedQuantity("total_toe", "Total toe", Kind.ANGLE, "deg"),
        DerivedQuantity("thrust_angle", "Thrust angle", Kind.ANGLE, "deg"),
        DerivedQuantity("cross_camber", "Cross camber", Kind.ANGLE, "deg"),
        DerivedQuantity("cross_caster", "Cross caster", Kind.ANGLE, "deg"),
        DerivedQuantity("wheel_camber", "Camber", Kind.ANGLE, "deg"),
        DerivedQuantity("wheel_caster", "Caster", Kind.ANGLE, "deg"),
        DerivedQuantity("included_angle", "Included angle", Kind.ANGLE, "deg"),
    ),
    work_out=work_out,
    cautions=(STEADY,),
)

KINDS: tuple[MeasurementKind, ...] = (TOE, ALIGNMENT, CASTER_SWEEP, SIDE_SLIP)
