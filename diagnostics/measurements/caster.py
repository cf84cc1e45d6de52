"""Caster by a sweep of the front wheels. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from diagnostics.compute import alignment
from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.angle_words import both, clean
from diagnostics.measurements.fields import Grid, Number
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import refused_at, said_of, tone_of_verdict, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.measurements.toe import READY, WHEELS
from shop.units import Kind, format_number, to_si

HALF_DEGREE = "0.5° from side to side where the maker gives nothing: common practice, no source"
_FORMULA = "(camber out − camber in) ÷ (2 sin sweep): geometry for small angles"
_STEEPEST = to_si(20, "deg")

_FIELDS = (
    Grid(
        "wheels",
        "Camber with the wheel turned, positive when the top leans out",
        (("left", "Left wheel"), ("right", "Right wheel")),
        (
            Number("out", "Turned out", Kind.ANGLE, "deg", lowest=-_STEEPEST, highest=_STEEPEST),
            Number("in", "Turned in", Kind.ANGLE, "deg", lowest=-_STEEPEST, highest=_STEEPEST),
        ),
        help="Out: the front of that wheel away from the car. Read the camber scale, not the "
        "caster scale.",
    ),
    Number(
        "sweep",
        "Turned each way by",
        Kind.ANGLE,
        "deg",
        known="caster_sweep",
        lowest=to_si(2, "deg"),
        highest=to_si(45, "deg"),
        usual=(to_si(8, "deg"), to_si(30, "deg")),
        help="20° for most turn plates.",
    ),
)


def cross_figure(
    quantity: str, name: str, difference: float, known: Known, position: str = ""
) -> Figure:
    """Left minus right; judged by the pages, else by half a degree."""
    key = f"{quantity}/{position}" if position else quantity
    most = to_si(0.5, "deg")
    allowed = Allowed(unit="deg", source=HALF_DEGREE, low=-most, high=most)
    return Figure(
        quantity=quantity,
        name=name,
        value=difference,
        unit="deg",
        decimals=2,
        position=position,
        keep=True,
        allowed=None if key in known.limits else allowed,
        reason="Left minus right.",
    )


def cross_finding(figure: Figure, known: Known, pull: str) -> Finding:
    """The verdict on a difference from side to side; `pull` says what too much of it does."""
    key = f"{figure.quantity}/{figure.position}" if figure.position else figure.quantity
    if figure.allowed:
        limit = Limit(figure.allowed.low, figure.allowed.high, "deg")
    else:
        limit = known.limits[key].limit
    found = judge(figure.value, limit)
    tail = f" {pull}" if found.kind is VerdictKind.OUTSIDE else ""
    says = said_of(figure.name, found) + tail
    return Finding(tone_of_verdict(found.kind), says, figure.position)


def pull_of_caster(difference: float) -> str:
    """Towards the side with less caster: common practice."""
    side = "right" if difference > 0 else "left"
    return f"A car pulls to the side with less caster, here the {side} (common practice)."


def work_out(given: Given, known: Known) -> Outcome:
    """Caster of each wheel that was swept, and the difference from side to side."""
    sweep = given.number("sweep")
    with refused_at("sweep"):
        casters = {
            side: clean(
                alignment.caster_of_sweep(cast(float, row["out"]), cast(float, row["in"]), sweep)
            )
            for side, row in given.rows("wheels").items()
        }
        factor = alignment.caster_of_sweep(1.0, 0.0, sweep)
    figures = [_wheel_figure(side, value, known) for side, value in casters.items()]
    findings = [_wheel_finding(figure, known) for figure in figures]
    if len(casters) == 2:
        difference = clean(alignment.cross(casters["left"], casters["right"]))
        cross = cross_figure("cross_caster", "Cross caster", difference, known)
        figures.append(cross)
        findings.append(cross_finding(cross, known, pull_of_caster(difference)))
    return Outcome(
        says=_says(casters),
        figures=tuple(figures),
        findings=worst_first(findings),
        notes=(
            f"For this sweep caster is {format_number(factor, digits=4)} × the change of camber.",
            "A gauge with a caster scale has multiplied already: its reading is no camber.",
            "For small angles: at 13° of inclination it is up to 4 % off (computed).",
            f"{READY} Brake held, so that the wheels do not roll on the plates.",
        ),
        sources=(_FORMULA, HALF_DEGREE),
    )


def _place(side: str, axle: str) -> str:
    return WHEELS.get(axle, ("", ""))[0 if side == "left" else 1]


def _wheel_figure(side: str, value: float, known: Known) -> Figure:
    place = _place(side, known.position)
    return Figure(
        quantity="wheel_caster",
        name="Caster" if place else f"Caster, {side} wheel",
        value=value,
        unit="deg",
        decimals=2,
        position=place,
        keep=bool(place),
        reason="Change of camber over the sweep.",
    )


def _wheel_finding(figure: Figure, known: Known) -> Finding:
    limit = known.limits.get(f"wheel_caster/{figure.position}")
    if limit is None:
        says = f"{figure.name} is not judged: the maker's figure is not known here."
        return Finding("unknown", says, figure.position)
    found = judge(figure.value, limit.limit)
    says = said_of(figure.name, found)
    return Finding(tone_of_verdict(found.kind), says, figure.position)


def _says(casters: Mapping[str, float]) -> str:
    parts = [f"{both(value)} on the {side}" for side, value in casters.items()]
    return f"Caster is {' and '.join(parts)}."


CASTER_SWEEP = MeasurementKind(
    key="caster_sweep",
    name="Caster by a sweep",
    group=Group.STEERING,
    purpose="Works caster out from the camber with each wheel turned out and in.",
    fields=_FIELDS,
    quantities=(
        DerivedQuantity("wheel_caster", "Caster", Kind.ANGLE, "deg"),
        DerivedQuantity("cross_caster", "Cross caster", Kind.ANGLE, "deg"),
    ),
    work_out=work_out,
    place="axle",
    cautions=("Front wheels on turn plates, rear wheels level with them and chocked, brake held.",),
)
