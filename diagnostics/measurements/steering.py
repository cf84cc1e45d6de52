"""Play in the steering linkage and the overall steering ratio, beside free play. Pure."""

from __future__ import annotations

from diagnostics.compute import steering
from diagnostics.compute.verdict import Limit, judge
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.free_play import FREE_PLAY, MOVING_LINKAGE
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import (
    most_allowed,
    refused_at,
    said_of,
    tone_of_verdict,
    worst_first,
)
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.units import Kind, format_number, format_value, to_si

_RATIO_APART = 0.05
"""So far from the pages' ratio something was read or fitted wrongly: common practice."""
_LIFTED = "Lift at the maker's points within the lift's rating; stands before anyone reaches under."

# ---- play in the linkage ----

_LINKAGE_FIELDS = (
    Number("left", "Left wheel, at the tread", Kind.LENGTH, "mm", False, lowest=0, highest=0.1),
    Number("right", "Right wheel, at the tread", Kind.LENGTH, "mm", False, lowest=0, highest=0.1),
    Choice(
        "bearings",
        "Wheel bearings",
        (("right", "Adjusted, no play"), ("play", "Have play"), ("not seen", "Not looked at")),
    ),
    Choice(
        "joints",
        "Ball joints",
        (("loaded", "Loaded"), ("hanging", "Hanging free")),
        help="The rule wants them loaded: lift where the maker says.",
    ),
)


def linkage_play(given: Given, known: Known) -> Outcome:
    """The larger play of both wheels, judged by 49 CFR 570.7(b) or a stricter page."""
    sides = {
        side: play for side in ("left", "right") if (play := given.number_or_none(side)) is not None
    }
    if not sides:
        raise InputError("Give the play of at least one wheel.", "left")
    worst = max(sides, key=lambda side: sides[side])
    own = most_allowed("linkage_play", known)
    by_pages = own is not None and own <= steering.LINKAGE_PLAY + 1e-9
    most = own if by_pages and own is not None else steering.LINKAGE_PLAY
    source = "49 CFR 570.7(b), 1/4 in (read)"
    shown = format_value(sides[worst], "mm", decimals=1)
    figure = Figure(
        quantity="linkage_play",
        name="Play in the linkage, larger side",
        value=sides[worst],
        unit="mm",
        decimals=1,
        keep=True,
        allowed=None if by_pages else Allowed(unit="mm", source=source, high=most),
        reason=f"The {worst} wheel has the larger play.",
    )
    return Outcome(
        says=f"Play in the linkage is {shown} at the tread of the {worst} wheel.",
        figures=(figure,),
        findings=_linkage_findings(given, sides, most),
        notes=_linkage_notes(known),
        sources=(source,),
    )


def _linkage_findings(given: Given, sides: dict[str, float], most: float) -> tuple[Finding, ...]:
    findings = []
    for side, play in sides.items():
        verdict = judge(play, Limit(None, most, "mm"))
        tone = tone_of_verdict(verdict.kind)
        findings.append(Finding(tone, said_of(f"{side.capitalize()} wheel", verdict)))
    if any(play > most for play in sides.values()):
        findings.append(
            Finding(
                "unknown",
                "Which joint it is is not shown: feel rack ends, track rod ends and the gear's "
                "mountings while somebody rocks the wheel.",
            )
        )
    if given.choice("bearings") != "right":
        findings.append(
            Finding("near", "Play in a wheel bearing is in this figure: see to the bearings first.")
        )
    if given.choice("joints") == "hanging":
        findings.append(
            Finding("near", "With the ball joints hanging free, worn ones hide: load them.")
        )
    return worst_first(findings)


def _linkage_notes(known: Known) -> tuple[str, ...]:
    if known.brake_rule != "gb":
        return ()
    return ("The GB manual gives no figure and judges by eye: the US in-service figure is used.",)


# ---- steering ratio ----

_RATIO_FIELDS = (
    Number(
        "wheel",
        "Steering wheel turned from straight ahead",
        Kind.ANGLE,
        "deg",
        lowest=to_si(5, "deg"),
        highest=to_si(1080, "deg"),
    ),
    Number(
        "left", "Left front wheel turned", Kind.ANGLE, "deg", lowest=0, highest=to_si(60, "deg")
    ),
    Number(
        "right", "Right front wheel turned", Kind.ANGLE, "deg", lowest=0, highest=to_si(60, "deg")
    ),
)


def ratio(given: Given, known: Known) -> Outcome:
    """Angle of the steering wheel over the mean angle of both front wheels."""
    wheel = given.number("wheel")
    left, right = given.number("left"), given.number("right")
    with refused_at("left"):
        found = steering.steering_ratio(wheel, (left + right) / 2)
    shown = format_number(found, decimals=2)
    apart = format_value(abs(left - right), "deg", decimals=1)
    figure = Figure(
        quantity="steering_ratio",
        name="Overall steering ratio",
        value=found,
        unit="count",
        decimals=2,
        keep=True,
        reason="Angle of the steering wheel ÷ mean angle of both front wheels.",
    )
    return Outcome(
        says=f"The overall steering ratio is {shown} : 1 here.",
        figures=(figure,),
        findings=_ratio_findings(found, known),
        notes=(
            f"The front wheels differ by {apart}: on a turn the inner one must turn more.",
            "The ratio of many gears changes along the rack: compare at the angle the maker names.",
        ),
        sources=("Steering wheel angle ÷ road wheel angle: definition",),
    )


def _ratio_findings(found: float, known: Known) -> tuple[Finding, ...]:
    pages = known.figure("steering_ratio")
    if not pages:
        return (Finding("unknown", "The pages of this platform give no ratio to compare with."),)
    shown = format_number(pages)
    if abs(found - pages) <= _RATIO_APART * pages:
        return (Finding("good", f"This agrees with the {shown} : 1 of the pages within 5 %."),)
    return (
        Finding(
            "near",
            f"This is more than 5 % from the {shown} : 1 of the pages (common practice). It points "
            "to turn plates that stick, a wrong reading, or another gear fitted; it does not show "
            "wear.",
        ),
    )


LINKAGE_PLAY = MeasurementKind(
    key="linkage_play",
    name="Play in the steering linkage",
    group=Group.STEERING,
    purpose="Judges the play at the tread while both wheels are rocked by hand.",
    fields=_LINKAGE_FIELDS,
    quantities=(
        DerivedQuantity("linkage_play", "Play in the steering linkage", Kind.LENGTH, "mm"),
    ),
    work_out=linkage_play,
    place="axle",
    cautions=(_LIFTED,),
)
RATIO = MeasurementKind(
    key="steering_ratio",
    name="Steering ratio",
    group=Group.STEERING,
    purpose="Compares what the steering wheel and the road wheels turn.",
    fields=_RATIO_FIELDS,
    quantities=(DerivedQuantity("steering_ratio", "Overall steering ratio", Kind.COUNT, "count"),),
    work_out=ratio,
    cautions=(MOVING_LINKAGE,),
)

KINDS: tuple[MeasurementKind, ...] = (FREE_PLAY, LINKAGE_PLAY, RATIO)
