"""Relief pressure of the steering pump, on two scales of the gauge. Pure."""

from __future__ import annotations

from diagnostics.compute.hydraulics import (
    LONGEST_CLOSED,
    LONGEST_CLOSED_BY_ANY,
    USUAL_RELIEF,
    WARM_FLUID,
    two_scales,
)
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.hydraulics_words import (
    FLUID,
    PUMP_CAUTIONS,
    PUMP_TEST_SOURCE,
    USUAL_SOURCE,
    bar,
    warm_enough,
)
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Bars, Chart, Layer, Level
from shop.units import Kind, format_value, from_si

_TYPED = "typed in with the measurement, from the vehicle maker’s information"
_TWO_SCALES = (
    "A published page prints “960 kPa (1400 psi)”; 1400 psi is 9653 kPa (NIST SP 811): so both "
    "scales are compared."
)
HIGHEST = 4e7


def _relief(given: Given, known: Known) -> Outcome:
    pressure, fluid = given.number("pressure"), given.number_or_none("fluid")
    findings = _two_scales(given)
    allowed = _typed(given)
    findings += [_of_relief(pressure, allowed, known), *_of_closing(given)]
    warm = warm_enough(fluid, *WARM_FLUID)
    if warm:
        findings.append(warm)
    both = f"{bar(pressure)} ({format_value(pressure, 'psi', decimals=0)})"
    return Outcome(
        f"The pump alone reaches {both}.",
        (
            Figure(
                "relief_pressure",
                "Steering pump relief pressure",
                pressure,
                "bar",
                # A reading whose two scales disagree is nobody's proof.
                keep=not any(one.tone == "bad" for one in _two_scales(given)),
                allowed=allowed,
                decimals=1,
                reason=f"{both}, valve closed for a moment.",
            ),
        ),
        worst_first(findings),
        (
            (
                "Close the valve slowly to the highest pressure, read, and open it at once. Let "
                "the pump cool for a minute before the next."
            ),
        ),
        charts=(_relief_chart(pressure, allowed, known),),
        sources=(PUMP_TEST_SOURCE, USUAL_SOURCE, _TWO_SCALES),
        temperature_k=fluid,
        engine="running",
    )


def _typed(given: Given) -> Allowed | None:
    """The limit typed in; None for the catalogue's. Its two scales are compared as well."""
    low, high = given.number_or_none("low"), given.number_or_none("high")
    if low is None and high is None:
        return None
    if low is not None and high is not None and low > high:
        raise InputError("The lowest allowed is above the highest.", "low")
    return Allowed("bar", _TYPED, low, high)


def _two_scales(given: Given) -> list[Finding]:
    pairs = (
        ("pressure", "other_scale", "other_scale", "The gauge’s two scales"),
        ("high", "high_other", "high_other", "The sheet’s two figures"),
    )
    findings = []
    for one, other, field, who in pairs:
        first, second = given.number_or_none(one), given.number_or_none(other)
        if first is None or second is None:
            continue
        with refused_at(field):
            check = two_scales(first, second)
        if check.agrees:
            continue
        shown = f"{bar(first)} and {bar(second)} in the same unit"
        if check.tenfold:
            times = format_value(check.tenfold, "count")
            why = f"they lie {times} times apart: a digit was lost in one of them"
        else:
            why = "one was read from the wrong scale or printed in the wrong unit"
        findings.append(
            Finding(
                "bad",
                f"{who} disagree: {shown}, so {why}. Look again before anything is judged by it.",
            )
        )
    return findings


def _of_relief(pressure: float, allowed: Allowed | None, known: Known) -> Finding:
    if allowed is not None:
        low, high = allowed.low or 0.0, allowed.high or HIGHEST
        side = "low" if pressure < low else "high" if pressure > high else ""
    else:
        judged = verdict_of(pressure, "relief_pressure", known, engine="running")
        if judged is None or judged.kind is VerdictKind.NOT_JUDGED:
            return _usual(pressure)
        if judged.kind is VerdictKind.NEAR:
            return Finding("near", "Close to a limit: see that fluid and idle speed are right.")
        side = (judged.side or "low") if judged.kind is VerdictKind.OUTSIDE else ""
    if side == "low":
        return Finding(
            "bad",
            "Too low: with belt, fluid and its warmth right, it points to the pump or its relief "
            "valve. It says nothing of the gear.",
        )
    if side == "high":
        return Finding(
            "bad",
            "Too high: it points to a relief valve that sticks or has the wrong spring, or to "
            "fluid that is too cold. Hoses may burst: do not load it again.",
        )
    return Finding(
        "good",
        "The pump builds its pressure. Whether it delivers its flow is another test.",
    )


def _usual(pressure: float) -> Finding:
    low, high = USUAL_RELIEF
    inside = "inside" if low <= pressure <= high else "outside"
    return Finding(
        "unknown",
        f"No limit is known for this pump. {bar(pressure)} lies {inside} {bar(low, 0)} to "
        f"{bar(high, 0)}, usual for cars (common practice, no source); the vehicle maker’s figure "
        "counts.",
    )


def _of_closing(given: Given) -> list[Finding]:
    closed = given.number_or_none("closed")
    if closed is None or closed <= LONGEST_CLOSED:
        return []
    shown = format_value(closed, "s")
    if closed <= LONGEST_CLOSED_BY_ANY:
        return [
            Finding(
                "near",
                f"The valve was closed for {shown}. Some makers allow 15 s, the most careful one "
                "5 s: let the pump cool before the next.",
            )
        ]
    return [
        Finding(
            "bad",
            f"The valve was closed for {shown}, longer than any maker read allows (15 s). The "
            "pump may have been overheated: let it cool, and listen to it and measure again.",
        )
    ]


def _relief_chart(pressure: float, allowed: Allowed | None, known: Known) -> Chart:
    limit = known.limits.get("relief_pressure")
    low = allowed.low if allowed else limit.limit.low if limit else None
    high = allowed.high if allowed else limit.limit.high if limit else None
    layers: list[Layer] = [Bars("Pressure", (("Pump alone", from_si(pressure, "bar")),))]
    for name, bound in (("Lowest allowed", low), ("Highest allowed", high)):
        if bound is not None:
            layers.append(Level(name, from_si(bound, "bar")))
    return Chart(
        "Relief pressure",
        f"{bar(pressure)} reached.",
        Axis(""),
        Axis("Pressure", "bar", zero=True),
        tuple(layers),
    )


def pressure_field(name: str, label: str, unit: str = "bar", help: str = "") -> Number:
    """A pressure that need not be typed."""
    return Number(
        name,
        label,
        Kind.PRESSURE,
        unit,
        required=False,
        help=help,
        lowest=1000.0,
        highest=HIGHEST,
    )


RELIEF_PRESSURE = MeasurementKind(
    key="relief_pressure",
    name="Relief pressure of the steering pump",
    group=Group.HYDRAULICS,
    purpose="Shows what the pump alone can do, and catches a pressure read from the wrong scale.",
    fields=(
        Number(
            "pressure",
            "Highest pressure, valve closed",
            Kind.PRESSURE,
            "bar",
            help="Read within five seconds, then open the valve.",
            lowest=1000.0,
            highest=HIGHEST,
            usual=USUAL_RELIEF,
        ),
        pressure_field("other_scale", "The same on the gauge’s other scale", "psi"),
        Number(
            "closed",
            "Valve closed for",
            Kind.TIME,
            "s",
            required=False,
            lowest=0.0,
            highest=600.0,
        ),
        FLUID,
        pressure_field(
            "low",
            "Lowest allowed",
            help="Only where the pages for this vehicle give none, or another.",
        ),
        pressure_field("high", "Highest allowed"),
        pressure_field(
            "high_other",
            "Highest allowed in the sheet’s other unit",
            "psi",
            "Where the sheet prints both: a slip in one of them shows.",
        ),
    ),
    quantities=(
        DerivedQuantity("relief_pressure", "Steering pump relief pressure", Kind.PRESSURE, "bar"),
    ),
    work_out=_relief,
    cautions=PUMP_CAUTIONS,
)
