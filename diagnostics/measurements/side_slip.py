"""Side slip over a plate, and the toe that would make it. Pure."""

from __future__ import annotations

from diagnostics.compute import alignment
from diagnostics.compute.verdict import Limit, VerdictKind, judge
from diagnostics.measurements.angle_words import both, clean, signed
from diagnostics.measurements.fields import Number, Words
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, tone_of_verdict, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.measurements.toe import READY, SPECIFIED, specified_of
from shop.tyres import TyreError, parse_tyre
from shop.units import Kind, format_value, to_si

_FORMULA = (
    "Side slip = total toe as a length ÷ the diameter it is read across: arithmetic of the table "
    "of 49 CFR 570.7(d) (read)"
)
_USUAL = "About 5 m in 1 km is allowed in many places: common practice, no source"
_BY_TOE = "1.5 × the maker's toe by 49 CFR 570.7(d) (read), as side slip"
_MOST = to_si(50, "m/km")

_FIELDS = (
    Number(
        "slip",
        "Side slip, one plate or the left of two",
        Kind.SIDE_SLIP,
        "m/km",
        lowest=-_MOST,
        highest=_MOST,
        help="Positive when the plate was pushed outwards (toe-in), negative inwards (toe-out).",
    ),
    Number(
        "slip_right",
        "Side slip, right plate",
        Kind.SIDE_SLIP,
        "m/km",
        required=False,
        lowest=-_MOST,
        highest=_MOST,
        help="Only with two plates: both are added.",
    ),
    SPECIFIED,
    Words("tyre", "Tyre size", required=False, known="tyre", help="To give the toe as a length."),
)


def work_out(given: Given, known: Known) -> Outcome:
    """The side slip of the axle, and the total toe that would make it."""
    right = given.number_or_none("slip_right")
    slip = round(given.number("slip") + (right or 0.0), 12)
    with refused_at("slip"):
        toe = clean(alignment.toe_of_side_slip(slip))
    allowed = _allowed(specified_of(given, known))
    by_pages = known.limits.get("side_slip")
    limit = by_pages.limit if by_pages else Limit(allowed.low, allowed.high, "m/km")
    figure = Figure(
        quantity="side_slip",
        name="Side slip of the axle",
        value=slip,
        unit="m/km",
        decimals=1,
        keep=True,
        allowed=None if by_pages else allowed,
        reason="Positive outwards (toe-in)." if right is None else "Left plus right plate.",
    )
    shown = format_value(slip, "m/km", decimals=1)
    return Outcome(
        says=f"Side slip is {shown}: as much as a total toe of {both(toe)} would make.",
        figures=(figure, *_toe_figures(toe, given.words("tyre"))),
        findings=_findings(slip, toe, limit),
        notes=(
            "One plate is taken to show the whole axle: the other wheel leads (common practice).",
            READY,
        ),
        sources=(by_pages.source if by_pages else allowed.source, _FORMULA),
    )


def _allowed(specified: float | None) -> Allowed:
    if not specified:
        most = alignment.USUAL_SIDE_SLIP
        return Allowed(unit="m/km", source=_USUAL, low=-most, high=most)
    most = round(alignment.side_slip_of(alignment.most_toe_in_service(specified)), 12)
    return Allowed(
        unit="m/km",
        source=_BY_TOE,
        low=-most,
        high=most,
        conditions=f"maker's total toe at most {signed(abs(specified))}",
    )


def _toe_figures(toe: float, tyre: str) -> tuple[Figure, ...]:
    angle = Figure(
        quantity="total_toe",
        name="Total toe that would make it",
        value=toe,
        unit="deg",
        decimals=2,
        reason="For tyres that roll freely and without camber.",
    )
    if not tyre:
        return (angle,)
    try:
        diameter = parse_tyre(tyre).outer_diameter_mm / 1000
    except TyreError as error:
        raise InputError(error.sentence, "tyre") from error
    length = Figure(
        quantity="total_toe_length",
        name="The same across the tyre",
        value=2 * alignment.toe_length(toe / 2, diameter),
        unit="mm",
        decimals=1,
        reason=f"At the unloaded tyre's diameter, {format_value(diameter, 'mm', decimals=0)}.",
    )
    return angle, length


def _findings(slip: float, toe: float, limit: Limit) -> tuple[Finding, ...]:
    verdict = judge(slip, limit)
    findings = [Finding(tone_of_verdict(verdict.kind), verdict.reason)]
    if verdict.kind is VerdictKind.OUTSIDE:
        way = "toe-in" if toe > 0 else "toe-out"
        findings.append(
            Finding(
                "unknown",
                f"This points to too much {way}. It does not show it: camber, a rear axle that "
                "steers, unlike tyres and play push the plate too. Measure the toe itself before "
                "a track rod is turned.",
            )
        )
    return worst_first(findings)


SIDE_SLIP = MeasurementKind(
    key="side_slip",
    name="Side slip over a plate",
    group=Group.STEERING,
    purpose="Brings a slip plate's reading to the toe that would make it, and judges it.",
    fields=_FIELDS,
    quantities=(
        DerivedQuantity("side_slip", "Side slip of the axle", Kind.SIDE_SLIP, "m/km"),
        DerivedQuantity("total_toe", "Total toe", Kind.ANGLE, "deg"),
        DerivedQuantity("total_toe_length", "Total toe as a length", Kind.LENGTH, "mm"),
    ),
    work_out=work_out,
    place="axle",
    cautions=(
        "Walking pace and straight, no steering or braking on the plate, nobody before the car.",
    ),
)
