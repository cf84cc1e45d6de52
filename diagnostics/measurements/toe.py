"""Toe of an axle, as angle and length, and what a slip plate makes of it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, cast

from diagnostics.compute import alignment
from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.angle_words import both, clean, signed
from diagnostics.measurements.fields import Grid, Number
from diagnostics.measurements.given import Given, InputError, Row
from diagnostics.measurements.judging import refused_at, said_of, tone_of_verdict, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.units import Kind, format_value, to_si

IN_SERVICE = "49 CFR 570.7(d), 1.5 × the maker's toe (read)"
LENGTH_OF_TOE = "Toe as a length = diameter × sin(angle): geometry"
READY = (
    "Car level on its wheels, tyres at pressure and alike, no play in joints and bearings, rolled "
    "forward before it is read."
)
STEADY = "Chock the car on its ramp or plates, and mind feet and hands while it is rolled."
WHEELS: Mapping[str, tuple[str, str]] = {"front": ("LF", "RF"), "rear": ("LR", "RR")}
"""The wheels of an axle, left and right."""

SPECIFIED = Number(
    "specified",
    "Largest total toe of the maker's setting",
    Kind.ANGLE,
    "deg",
    required=False,
    known="total_toe_specified",
    lowest=to_si(-3, "deg"),
    highest=to_si(3, "deg"),
    help="In service 1.5 times this is allowed.",
)
_STEEPEST = to_si(10, "deg")

_FIELDS = (
    Grid(
        "wheels",
        "Each wheel, toe-in positive",
        (("left", "Left wheel"), ("right", "Right wheel")),
        (
            Number("toe", "Angle", Kind.ANGLE, "deg", False, lowest=-_STEEPEST, highest=_STEEPEST),
            Number(
                "length", "or length", Kind.LENGTH, "mm", required=False, lowest=-0.1, highest=0.1
            ),
        ),
        least=0,
        help="Type 0°20′ as 20 and choose minutes (′) as the unit.",
    ),
    Number(
        "gap",
        "Or distance between the wheels: behind the axle minus before it",
        Kind.LENGTH,
        "mm",
        required=False,
        lowest=-0.2,
        highest=0.2,
    ),
    Number(
        "diameter",
        "Diameter at which the length is read",
        Kind.LENGTH,
        "mm",
        required=False,
        known="toe_diameter",
        lowest=0.2,
        highest=1.5,
        help="Needed for lengths. The same angle gives another length at another diameter.",
    ),
    SPECIFIED,
)

Way = Literal["toe", "length"]


@dataclass(frozen=True, slots=True)
class _Toe:
    """Toe as it was read; `sides` None where only the sum is known."""

    total: float
    sides: tuple[float, float] | None
    note: str


def work_out(given: Given, known: Known) -> Outcome:
    """Total toe of the axle from angles, lengths or the distance between the wheels."""
    toe = _read(given)
    diameter = given.number_or_none("diameter")
    specified = specified_of(given, known)
    figures = [total_figure(toe.total, known, specified)]
    if toe.sides:
        figures += _side_figures(toe.sides, known.position)
    notes = [toe.note, READY]
    if diameter is not None:
        figures.append(_length_figure(toe.total, diameter))
    findings = toe_findings(toe.total, known, specified)
    return Outcome(
        says=f"Total toe is {both(toe.total)}{_as_length(toe.total, diameter)}.",
        figures=tuple(figures),
        findings=worst_first((*findings, *_side_findings(toe.sides))),
        notes=tuple(note for note in notes if note),
        sources=(IN_SERVICE, LENGTH_OF_TOE),
    )


def specified_of(given: Given, known: Known) -> float | None:
    """The maker's largest total toe: as typed, else as the pages give it for the axle."""
    typed = given.number_or_none("specified")
    return known.figure("total_toe_specified") if typed is None else typed


def _read(given: Given) -> _Toe:
    rows = given.rows("wheels")
    ways: list[Way] = [
        way for way in _WAYS if any(row.get(way) is not None for row in rows.values())
    ]
    gap = given.number_or_none("gap")
    if len(ways) + (gap is not None) != 1:
        raise InputError(
            "Give toe in one way: the angle of both wheels, the length of both, or the distance.",
            "gap" if gap is not None else "wheels",
        )
    if gap is not None:
        with refused_at("gap"):
            total = alignment.total_toe_of_gap(gap, _diameter(given))
        return _Toe(clean(total), None, "Only the sum was measured: the wheels are not told apart.")
    way = ways[0]
    left, right = (_side(rows, side, way, given) for side in ("left", "right"))
    note = "" if way == "toe" else "Lengths are taken at the diameter given."
    return _Toe(clean(alignment.total_toe(left, right)), (left, right), note)


_WAYS: tuple[Way, ...] = ("toe", "length")


def _side(rows: Mapping[str, Row], side: str, way: Way, given: Given) -> float:
    value = cast("float | None", rows.get(side, {}).get(way))
    if value is None:
        raise InputError("Give the same for both wheels.", f"wheels-{side}-{way}")
    if way == "toe":
        return value
    with refused_at(f"wheels-{side}-length"):
        return alignment.toe_angle(value, _diameter(given))


def _diameter(given: Given) -> float:
    diameter = given.number_or_none("diameter")
    if diameter is None:
        raise InputError("A length needs the diameter at which it was read.", "diameter")
    return diameter


# ---- figures and findings, shared with the alignment of the whole car ----


def total_figure(total: float, known: Known, specified: float | None, position: str = "") -> Figure:
    """Total toe; judged by the maker's setting where the pages give it, else by 1.5 times it."""
    by_pages = _place("total_toe", position) in known.limits
    allowed = None
    if specified and not by_pages:
        most = clean(alignment.most_toe_in_service(specified))
        allowed = Allowed(unit="deg", source=IN_SERVICE, low=-most, high=most)
    return Figure(
        quantity="total_toe",
        name="Total toe",
        value=total,
        unit="deg",
        decimals=2,
        position=position,
        keep=True,
        allowed=allowed,
        reason="Left plus right, toe-in positive.",
    )


def toe_findings(
    total: float, known: Known, specified: float | None, position: str = ""
) -> tuple[Finding, ...]:
    """What the total says: by the maker's setting, and by 1.5 times it in service."""
    findings = []
    setting = known.limits.get(_place("total_toe", position))
    if setting is not None:
        found = judge(total, setting.limit)
        way = _wear(total) if found.kind is VerdictKind.OUTSIDE else ""
        says = said_of("Total toe by the maker's setting", found) + way
        findings.append(Finding(tone_of_verdict(found.kind), says, position))
    if specified:
        most = clean(alignment.most_toe_in_service(specified))
        found = judge(total, Limit(-most, most, "deg"))
        findings.append(
            Finding(
                tone_of_verdict(found.kind),
                said_of(f"Total toe in service, 1.5 × {signed(abs(specified))}", found),
                position,
            )
        )
    if not findings:
        findings.append(
            Finding(
                "unknown",
                "Total toe is not judged: the maker's setting is not known here.",
                position,
            )
        )
    return tuple(findings)


def _wear(total: float) -> str:
    edge = "outer" if total > 0 else "inner"
    return f" This wears the {edge} edges of the tyres (common practice)."


def _place(quantity: str, position: str) -> str:
    return f"{quantity}/{position}" if position else quantity


def _side_figures(sides: tuple[float, float], axle: str) -> list[Figure]:
    places = WHEELS.get(axle, ("", ""))
    return [
        Figure(
            quantity="wheel_toe",
            name="Toe" if place else f"Toe, {name} wheel",
            value=clean(value),
            unit="deg",
            decimals=2,
            position=place,
            reason=f"{both(value)}, toe-in positive.",
        )
        for name, value, place in zip(("left", "right"), sides, places, strict=True)
    ]


def _side_findings(sides: tuple[float, float] | None) -> tuple[Finding, ...]:
    if sides is None or abs(sides[0] - sides[1]) <= to_si(0.1, "deg"):
        return ()
    return (
        Finding(
            "unknown",
            "The wheels toe unlike by more than 0.1° (common practice). With the steering wheel "
            "straight it will stand off centre on the road; if it was not held straight while "
            "reading, this shows nothing, and the total still holds.",
        ),
    )


def _length_figure(total: float, diameter: float) -> Figure:
    return Figure(
        quantity="total_toe_length",
        name=f"Total toe at {format_value(diameter, 'mm')}",
        value=_length(total, diameter),
        unit="mm",
        decimals=2,
        reason="Both wheels together, diameter × sin(angle) for each.",
    )


def _length(total: float, diameter: float) -> float:
    return 2 * alignment.toe_length(total / 2, diameter)


def _as_length(total: float, diameter: float | None) -> str:
    if diameter is None:
        return ""
    length = format_value(_length(total, diameter), "mm", decimals=1)
    return f", {length} at {format_value(diameter, 'mm')}"


TOE = MeasurementKind(
    key="toe",
    name="Toe of an axle",
    group=Group.STEERING,
    purpose="Brings toe in degrees, minutes, millimetres or inches to one total and judges it.",
    fields=_FIELDS,
    quantities=(
        DerivedQuantity("total_toe", "Total toe", Kind.ANGLE, "deg"),
        DerivedQuantity("wheel_toe", "Toe of one wheel", Kind.ANGLE, "deg"),
        DerivedQuantity("total_toe_length", "Total toe as a length", Kind.LENGTH, "mm"),
    ),
    work_out=work_out,
    place="axle",
    cautions=(STEADY,),
)
