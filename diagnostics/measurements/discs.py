"""Brake discs on the car: thickness all round, and run-out by the dial. Pure."""

from __future__ import annotations

from diagnostics.compute.discs import MOST_BOLTS, RunOut, Thickness, run_out, thickness_round
from diagnostics.measurements.disc_hub import DISC_ON_HUB
from diagnostics.measurements.disc_pictures import (
    from_the_face,
    readings_by_angle,
    thickness_by_angle,
)
from diagnostics.measurements.disc_words import (
    CAUTIONS,
    FIRST_REMEDY,
    FIT_SOURCE,
    HOW_TO_DIAL,
    REMEDY_SOURCE,
    RUN_OUT_SOURCE,
    USUAL_DIAL,
    degrees,
    mm,
)
from diagnostics.measurements.fields import Number, Series
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import (
    TONES,
    least_allowed,
    most_allowed,
    refused_at,
    tone_of,
    tool_uncertainty,
)
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.lining_life import LINING_LIFE
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.units import Kind, format_number

_DIAL_REACH = 5e-3
_MOSTLY = 0.5


def _thickness(given: Given, known: Known) -> Outcome:
    readings = given.series("thickness")
    with refused_at("thickness"):
        found = thickness_round(readings)
    where = " and ".join(degrees(angle) for angle in found.thinnest)
    return Outcome(
        f"The disc is {mm(found.least)} at its thinnest, {where} from the start mark, and varies "
        f"by {mm(found.variation)}.",
        (
            Figure(
                "disc_thickness",
                "Thinnest point of the disc",
                found.least,
                "mm",
                keep=True,
                decimals=3,
                reason=f"Least of {len(readings)} points, {where} from the start mark.",
            ),
            Figure(
                "disc_thickness_variation",
                "Disc thickness variation",
                found.variation,
                "mm",
                keep=True,
                decimals=3,
                reason=found.reason,
            ),
            Figure("disc_thickness_mean", "Mean thickness", found.mean, "mm", decimals=3),
        ),
        tuple(sorted(_of_thickness(found, known), key=lambda one: TONES.index(one.tone))),
        (
            (
                "The figure cast on the disc is the one to discard it at. The figure down to "
                "which it may be machined is larger."
            ),
            "Measured with a micrometer on clean faces, at equal steps on one circle.",
        ),
        charts=(
            thickness_by_angle(found, readings, most_allowed("disc_thickness_variation", known)),
        ),
        sources=(
            "Variation as most less least; most makers 0.005 to 0.013 mm: public trade page, read.",
            "Not beyond the thickness marked on the disc: 49 CFR 570.59(b), read in a copy.",
        ),
    )


def _of_thickness(found: Thickness, known: Known) -> list[Finding]:
    findings = []
    worn = tone_of(found.least, "disc_thickness", known)
    limit = least_allowed("disc_thickness", known)
    if worn == "bad" and limit is not None:
        findings.append(
            Finding(
                "bad",
                f"At its thinnest the disc is below {mm(limit)}. Compare with the figure cast on "
                "it, and measure the other disc of the axle.",
            )
        )
    elif worn == "near" and limit is not None:
        findings.append(
            Finding("near", f"Little is left above {mm(limit)}: no room for machining.")
        )
    varies = tone_of(found.variation, "disc_thickness_variation", known)
    if varies == "bad":
        findings.append(
            Finding(
                "bad",
                "A disc of uneven thickness makes the pedal pulse, and a dial shows part of it as "
                "run-out. It often follows from run-out, so measure run-out and hub before another "
                "disc goes on, or it comes back.",
            )
        )
    elif varies == "good" and worn == "good":
        findings.append(
            Finding(
                "good",
                "Thickness is in order. That says nothing about run-out: a dial on the face "
                "shows it.",
            )
        )
    return findings


def _run_out(given: Given, known: Known) -> Outcome:
    readings = given.series("readings")
    with refused_at("readings"):
        found = run_out(readings)
    bolts = known.figure("wheel_bolts")
    spot = (
        "and no high spot"
        if found.high_spot is None
        else f"with the high spot {degrees(found.high_spot)} from the start mark"
    )
    return Outcome(
        f"The disc runs out by {mm(found.total)}, {spot}.",
        _run_out_figures(found),
        tuple(sorted(_of_run_out(found, given, known), key=lambda one: TONES.index(one.tone))),
        (
            "The dial’s zero does not matter: only the mean moves with it.",
            (
                "The highest less the lowest reading is what a limit judges. The fitted sine "
                "is the "
                "part that a lean of disc or hub makes, and the only part that another bolt "
                "position changes."
            ),
        ),
        charts=(
            readings_by_angle(found, readings, most_allowed("disc_runout", known)),
            from_the_face(found, round(bolts) if bolts and bolts <= MOST_BOLTS else None),
        ),
        sources=(RUN_OUT_SOURCE, FIT_SOURCE, REMEDY_SOURCE),
    )


def _run_out_figures(found: RunOut) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "disc_runout",
            "Disc run-out",
            found.total,
            "mm",
            keep=True,
            decimals=3,
            reason=found.reason,
        ),
        Figure(
            "disc_runout_harmonic",
            "Run-out once per turn",
            found.once_per_turn,
            "mm",
            decimals=3,
            reason=f"Twice the amplitude of the fitted sine, {mm(found.amplitude)}; mean reading "
            f"{mm(found.mean)}.",
        ),
        Figure(
            "disc_waviness",
            "Waviness left over",
            found.waviness,
            "mm",
            decimals=4,
            reason="Root mean square of what the sine leaves; "
            f"{format_number(found.second_share * 100, decimals=0)} % of it comes twice a turn.",
        ),
    ]
    if found.high_spot is not None:
        figures.insert(
            2,
            Figure(
                "disc_runout_high_spot",
                "High spot from the start mark",
                found.high_spot,
                "deg",
                decimals=0,
                reason="Where the fitted sine is highest, counted as the readings were.",
            ),
        )
    return tuple(figures)


def _of_run_out(found: RunOut, given: Given, known: Known) -> list[Finding]:
    findings = []
    tone = tone_of(found.total, "disc_runout", known)
    if tone == "bad":
        findings.append(Finding("bad", FIRST_REMEDY))
    elif tone == "near":
        findings.append(
            Finding("near", "Close to what is allowed: clean, bolt down and measure once more.")
        )
    elif tone == "good":
        findings.append(
            Finding(
                "good",
                "Run-out is in order. It does not show that the thickness is even: that takes a "
                "micrometer.",
            )
        )
    findings += _of_waviness(found, tool_uncertainty("disc_runout", known, USUAL_DIAL))
    thickness = given.number_or_none("thickness_variation")
    if thickness:
        findings.append(
            Finding(
                "near" if thickness >= found.total / 2 else "unknown",
                f"Up to {mm(min(thickness, found.total))} of this may be thickness and not "
                f"run-out: thickness variation reads as run-out.",
            )
        )
    return findings


def _of_waviness(found: RunOut, dial: float) -> list[Finding]:
    """A sine leaves no more than the dial's own doubt of a face that is flat and merely leans."""
    if found.waviness <= dial / 2:
        return []
    if found.second_share > _MOSTLY:
        says = (
            "Much of it comes twice a turn. A disc pulled out of shape by uneven nuts or by dirt "
            "between it and the hub looks like this."
        )
    else:
        says = (
            "The readings are not one smooth wave. Uneven thickness, dirt or rust under the dial, "
            "or bearing play looks like this; look for these before you trust the high spot."
        )
    return [Finding("near", f"{mm(found.waviness)} rms is left beside the sine. {says}")]


DISC_THICKNESS = MeasurementKind(
    key="disc_thickness",
    name="Disc thickness all round",
    group=Group.DISCS,
    purpose="To see how worn the disc is and whether it is evenly thick, which the pedal feels.",
    fields=(
        Series(
            "thickness",
            "Thickness",
            Kind.LENGTH,
            "mm",
            boxes=12,
            least=4,
            help="4 to 12 points at equal steps, about 10 mm from the edge; write the third place.",
            lowest=1e-3,
            highest=0.08,
            usual=(0.005, 0.05),
        ),
    ),
    quantities=(
        DerivedQuantity("disc_thickness", "Disc thickness", Kind.LENGTH, "mm"),
        DerivedQuantity("disc_thickness_variation", "Disc thickness variation", Kind.LENGTH, "mm"),
        DerivedQuantity("disc_thickness_mean", "Mean disc thickness", Kind.LENGTH, "mm"),
    ),
    work_out=_thickness,
    place="wheel",
    cautions=CAUTIONS,
)

DISC_RUN_OUT = MeasurementKind(
    key="disc_runout",
    name="Disc run-out",
    group=Group.DISCS,
    purpose="To see how far the disc’s face wanders in a turn, and where it stands highest.",
    fields=(
        Series(
            "readings",
            "Dial readings",
            Kind.LENGTH,
            "mm",
            boxes=12,
            counts=(8, 12),
            help=HOW_TO_DIAL,
            lowest=-_DIAL_REACH,
            highest=_DIAL_REACH,
        ),
        Number(
            "thickness_variation",
            "Thickness variation, if measured",
            Kind.LENGTH,
            "mm",
            required=False,
            help="It reads as run-out.",
            lowest=0.0,
            highest=1e-3,
        ),
    ),
    quantities=(
        DerivedQuantity("disc_runout", "Disc run-out", Kind.LENGTH, "mm"),
        DerivedQuantity("disc_runout_harmonic", "Disc run-out, once per turn", Kind.LENGTH, "mm"),
        DerivedQuantity(
            "disc_runout_high_spot", "High spot from the start mark", Kind.ANGLE, "deg"
        ),
        DerivedQuantity("disc_waviness", "Disc waviness", Kind.LENGTH, "mm"),
    ),
    work_out=_run_out,
    place="wheel",
    cautions=CAUTIONS,
)

KINDS: tuple[MeasurementKind, ...] = (DISC_THICKNESS, DISC_RUN_OUT, DISC_ON_HUB, LINING_LIFE)
