"""The grounds of a car against each other, under load. Pure."""

from __future__ import annotations

from diagnostics.compute.electrics import joint
from diagnostics.compute.electrics_drop import RULES, GroundPoint, Grounds, compare_grounds
from diagnostics.measurements.electrics_circuit import LOST, cell_of, must_be_loaded
from diagnostics.measurements.electrics_drops import POWER_LOST, allowed_by
from diagnostics.measurements.electrics_words import (
    BRAKES_MAY_WORK,
    CURRENT,
    LIVE,
    LOAD,
    NO_SQUIB,
    OHM,
    amps,
    ohms,
    volts,
    watts,
)
from diagnostics.measurements.fields import Grid, Tick
from diagnostics.measurements.given import Given
from diagnostics.measurements.judging import most_allowed, refused_at, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Bars, Chart, Level, Role, Table
from shop.units import Kind, from_si

_GROUNDS = (
    ("module", "Ground pin of the module"),
    ("sensor", "Ground or shield of a sensor"),
    ("unit", "Ground of pump, motor or valve unit"),
    ("stud", "Ground stud"),
    ("body", "Body, bare metal"),
    ("engine", "Engine block"),
    ("strap", "Strap, body end"),
)
_SENSITIVE = 0.05
_SENSITIVE_SOURCE = "half the general figure for a module’s ground: common practice, no source"


def _ground(given: Given, known: Known) -> Outcome:
    must_be_loaded(given)
    names = dict(_GROUNDS)
    points = [
        GroundPoint(names[key], cell_of(row["drop"])) for key, row in given.rows("points").items()
    ]
    current = given.number_or_none("current")
    with refused_at("points"):
        found = compare_grounds(points, current)
    allowed = _ground_allowed(given, known)
    worst = found.points[-1]
    says = f"{worst.name} stands {volts(worst.drop)} above the battery’s negative post"
    if current is not None:
        says += f", {ohms(worst.drop / current)} of ground path under {amps(current)}"
    return Outcome(
        f"{says}.",
        _ground_figures(found, current, allowed),
        worst_first(_ground_findings(found, current, allowed, known)),
        (
            (
                "Measured from each point to the battery’s negative post itself, not to its clamp, "
                "with the load on."
            ),
        ),
        table=_ground_table(found, current),
        charts=(_ground_chart(found, allowed, known),),
        sources=(
            f"Ground path, at most 0.1 V: {RULES['ground'].source}.",
            *(
                (f"{_SENSITIVE_SOURCE[0].upper()}{_SENSITIVE_SOURCE[1:]}.",)
                if _is_half(allowed)
                else ()
            ),
            *((OHM,) if current is not None else ()),
        ),
    )


def _is_half(allowed: Allowed | None) -> bool:
    return allowed is not None and allowed.high == _SENSITIVE


def _ground_allowed(given: Given, known: Known) -> Allowed | None:
    """None where the catalogue's limit serves: its own is stricter or a module is not named."""
    theirs = most_allowed("ground_drop", known)
    if given.ticked("sensitive") and (theirs is None or theirs >= RULES["ground"].high):
        return Allowed(
            "mV",
            _SENSITIVE_SOURCE,
            high=_SENSITIVE,
            conditions="ground of a module or sensor, load switched on",
        )
    return None if theirs is not None else allowed_by(RULES["ground"])


def _ground_high(allowed: Allowed | None, known: Known) -> float:
    high = most_allowed("ground_drop", known) if allowed is None else allowed.high
    return RULES["ground"].high if high is None else high


def _ground_figures(
    found: Grounds, current: float | None, allowed: Allowed | None
) -> tuple[Figure, ...]:
    worst = found.points[-1]
    figures = [
        Figure(
            "ground_drop",
            "Voltage lost on the ground side",
            worst.drop,
            "mV",
            keep=True,
            allowed=allowed,
            reason=f"{worst.name}, the highest of {len(found.points)}.",
        ),
    ]
    if len(found.points) > 1:
        figures.append(Figure("ground_spread", "Best to worst ground", found.spread, "mV"))
    if current is not None:
        lost = joint(worst.drop, current)
        figures.append(
            Figure("ground_resistance", "Resistance of the ground path", lost.ohms, "mohm")
        )
        figures.append(Figure("power_lost", POWER_LOST.name, lost.watts, "W"))
    return tuple(figures)


def _ground_findings(
    found: Grounds, current: float | None, allowed: Allowed | None, known: Known
) -> list[Finding]:
    high = _ground_high(allowed, known)
    too_high = [point for point in found.points if point.drop > high]
    if not too_high:
        return [
            Finding(
                "good",
                f"Every point measured lies within {volts(high)} of the battery’s negative post "
                "under this load.",
            )
        ]
    findings = [
        Finding(
            "bad",
            f"{point.name}: {volts(point.drop)} lost, and {volts(high)} is the most. Clean the "
            "ground to bright metal and measure again before a module or unit is condemned.",
        )
        for point in reversed(too_high)
    ]
    if found.step and found.step.drop > high / 2:
        across = f", {ohms(found.step.ohms)}" if found.step.ohms is not None else ""
        heat = f" {watts(found.step.drop * current)} turns into heat." if current else ""
        findings.append(
            Finding(
                "bad",
                f"Most of it is lost between “{found.step.better.name}” and "
                f"“{found.step.worse.name}”: {volts(found.step.drop)}{across}.{heat} Look there "
                "first.",
            )
        )
    return findings


def _ground_table(found: Grounds, current: float | None) -> Table:
    return Table(
        "Grounds, best first",
        ("Point", "Above the battery’s negative", "Resistance"),
        tuple(
            (point.name, volts(point.drop), ohms(point.drop / current) if current else "–")
            for point in found.points
        ),
    )


def _ground_chart(found: Grounds, allowed: Allowed | None, known: Known) -> Chart:
    high = _ground_high(allowed, known)
    roles: tuple[Role, ...] = tuple(
        "good" if point.drop <= high else "bad" for point in found.points
    )
    worst = found.points[-1]
    return Chart(
        "Grounds against each other",
        f"The highest is {worst.name}, {volts(worst.drop)}; {volts(high)} is allowed.",
        Axis(""),
        Axis("Lost", "mV", zero=True),
        (
            Bars("Lost", tuple((p.name, from_si(p.drop, "mV")) for p in found.points), roles),
            Level("Allowed", from_si(high, "mV")),
        ),
    )


GROUND_QUALITY = MeasurementKind(
    key="ground_quality",
    name="Ground quality",
    group=Group.ELECTRICS,
    purpose="Compares the grounds of a circuit under load, and finds where one is lost.",
    fields=(
        LOAD,
        Grid(
            "points",
            "From each point to the battery’s negative post",
            _GROUNDS,
            (LOST,),
            help="The ground of the unit in question; a second point shows where it is lost.",
        ),
        CURRENT,
        Tick(
            "sensitive",
            "A module or sensor has its ground here",
            help="Then half the general figure counts, unless the pages give a stricter one.",
        ),
    ),
    quantities=(
        DerivedQuantity("ground_drop", "Voltage lost on the ground side", Kind.VOLTAGE, "mV"),
        DerivedQuantity("ground_spread", "Best to worst ground", Kind.VOLTAGE, "mV"),
        DerivedQuantity(
            "ground_resistance", "Resistance of the ground path", Kind.RESISTANCE, "mohm"
        ),
        POWER_LOST,
    ),
    work_out=_ground,
    place="any",
    cautions=(LIVE, BRAKES_MAY_WORK, NO_SQUIB),
)
