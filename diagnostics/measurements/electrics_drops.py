"""Voltage lost across one place under load, and a wire by its length and cross-section. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.electrics import Joint, joint, wire_resistance
from diagnostics.compute.electrics_drop import (
    FAULT,
    METER_RESOLUTION,
    RULES,
    DropJudged,
    DropRule,
    judge_drop,
)
from diagnostics.compute.verdict import VerdictKind
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
from diagnostics.measurements.fields import Choice, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from shop.charting import Axis, Bars, Chart, Level, Role
from shop.units import Kind, format_value, from_si

COPPER_WIRE = "R = L / (58 A) in ohms, metres and mm²: copper of full conductivity, from memory."
_FAULT_SOURCE = "More than 1.0 V lost is a fault: SAE figures quoted in a repair manual, read."
_HOT_WATTS = 2.0
"""A joint that turns more than this into heat gets hot. Common practice, no source."""
_MORE_THAN_COPPER = 2.0
_HARDLY_ANYTHING = 0.02

_QUANTITY = {
    "small_connection": "connection_drop",
    "heavy_connection": "connection_drop",
    "cable": "supply_drop",
    "contacts": "contact_drop",
    "ground": "ground_drop",
}
_OWN_FIGURE = {"small_connection", "starter_plus", "starter_minus", "charging_plus"} | {
    "charging_minus"
}
"""Sorts for which the catalogue's limit of their quantity was not made."""
DROPS = (
    DerivedQuantity("connection_drop", "Voltage lost across a connection", Kind.VOLTAGE, "mV"),
    DerivedQuantity("supply_drop", "Voltage lost on the supply side", Kind.VOLTAGE, "mV"),
    DerivedQuantity("contact_drop", "Voltage lost across closed contacts", Kind.VOLTAGE, "mV"),
    DerivedQuantity("ground_drop", "Voltage lost on the ground side", Kind.VOLTAGE, "mV"),
    DerivedQuantity("circuit_drop", "Voltage lost in the whole circuit", Kind.VOLTAGE, "mV"),
)
_NAMES = {quantity.key: quantity.name for quantity in DROPS}
JOINT_RESISTANCE = DerivedQuantity(
    "joint_resistance", "Resistance of the place", Kind.RESISTANCE, "mohm"
)
POWER_LOST = DerivedQuantity("power_lost", "Power lost in it", Kind.POWER, "W")
WIRE_DROP = DerivedQuantity("wire_drop", "Drop of sound copper", Kind.VOLTAGE, "mV")

LENGTH = Number(
    "length",
    "Length of the wire",
    Kind.LENGTH,
    "m",
    required=False,
    help="One way, between the two places of the leads.",
    lowest=0.01,
    highest=100.0,
)
SECTION = Number(
    "section",
    "Its cross-section",
    Kind.AREA,
    "mm2",
    required=False,
    help="Of the copper, without the insulation.",
    lowest=5e-8,
    highest=2e-4,
    usual=(1.3e-7, 1.2e-4),
)


@dataclass(frozen=True, slots=True)
class _Drop:
    rule: DropRule
    volts: float
    loaded: bool
    amps: float | None
    joint: Joint | None
    copper: float | None
    judged: DropJudged
    allowed: Allowed | None
    quantity: str


def allowed_by(rule: DropRule) -> Allowed:
    """The published figure of a sort as a limit."""
    conditions = "with the circuit’s own load switched on"
    if rule.high == 0:
        conditions += "; 0 V as published, and a meter’s resolution of 5 mV"
    return Allowed("mV", rule.source, high=rule.high or METER_RESOLUTION, conditions=conditions)


def _read(given: Given, known: Known) -> _Drop:
    rule, lost = RULES[given.choice("sort")], given.number("drop")
    current = given.number_or_none("current")
    loaded = given.choice("load") == "on"
    if current is not None and not loaded:
        raise InputError("A current was measured: then the load was on.", "load")
    with refused_at("drop"):
        judged = judge_drop(lost, rule)
    with refused_at("current"):
        found = None if current is None else joint(lost, current)
    quantity = _QUANTITY.get(rule.key, "circuit_drop")
    by_catalogue = quantity in known.limits and rule.key not in _OWN_FIGURE
    return _Drop(
        rule,
        lost,
        loaded,
        current,
        found,
        _copper(given, current),
        judged,
        None if by_catalogue else allowed_by(rule),
        quantity,
    )


def _copper(given: Given, current: float | None) -> float | None:
    """What the wire alone should lose, V; None when not all of it is known."""
    length, section = given.number_or_none("length"), given.number_or_none("section")
    if (length is None) != (section is None):
        missing = "section" if section is None else "length"
        raise InputError("Give both length and cross-section, or neither.", missing)
    if length is None or section is None or current is None:
        return None
    with refused_at("length"):
        return current * wire_resistance(length, section)


def _voltage_drop(given: Given, known: Known) -> Outcome:
    drop = _read(given, known)
    says = f"{volts(drop.volts)} is lost: {drop.rule.says[0].lower()}{drop.rule.says[1:]}"
    if drop.joint:
        says += f", {ohms(drop.joint.ohms)} under {amps(drop.joint.amps)}"
    return Outcome(
        f"{says}.",
        _drop_figures(drop),
        worst_first(_drop_findings(drop, known)),
        (
            (
                "The drop is that of everything between the two leads. Move one lead closer, half "
                "the way at a time, until the place is found."
            ),
        ),
        charts=(_drop_chart(drop, known),),
        sources=(
            f"{drop.rule.says}, at most {format_value(drop.rule.high, 'V')}: {drop.rule.source}.",
            _FAULT_SOURCE,
            *((OHM,) if drop.joint else ()),
            *((COPPER_WIRE,) if drop.copper is not None else ()),
        ),
    )


def _drop_figures(drop: _Drop) -> tuple[Figure, ...]:
    figures = [
        Figure(
            drop.quantity,
            _NAMES[drop.quantity],
            drop.volts,
            "mV",
            # A drop without current proves nothing, so it may not stand as proof.
            keep=drop.loaded,
            allowed=drop.allowed,
            reason=drop.judged.reason,
        )
    ]
    if drop.joint:
        figures += [
            Figure("joint_resistance", JOINT_RESISTANCE.name, drop.joint.ohms, "mohm"),
            Figure("power_lost", POWER_LOST.name, drop.joint.watts, "W"),
        ]
    if drop.copper is not None:
        figures.append(Figure("wire_drop", WIRE_DROP.name, drop.copper, "mV"))
    return tuple(figures)


def _drop_findings(drop: _Drop, known: Known) -> list[Finding]:
    if not drop.loaded and drop.judged.state == "good":
        return [
            Finding(
                "unknown",
                "No load was noted. Without current even a burnt joint loses nothing: switch the "
                "circuit’s own load on and measure again.",
            )
        ]
    findings = [_main_finding(drop, known)]
    if drop.joint and drop.joint.watts >= _HOT_WATTS and findings[0].tone == "bad":
        findings.append(
            Finding(
                "bad",
                f"{watts(drop.joint.watts)} turns into heat between the leads. A place that gets "
                "hot gets worse: feel for it with care, and look for melted plastic.",
            )
        )
    if drop.copper is not None:
        findings.append(_copper_finding(drop.volts, drop.copper))
    return findings


def _main_finding(drop: _Drop, known: Known) -> Finding:
    if drop.volts > FAULT:
        return Finding(
            "bad",
            f"{drop.judged.reason} Find the place before any unit of this circuit is blamed.",
        )
    found = verdict_of(drop.volts, drop.quantity, known) if drop.allowed is None else None
    outside = found.kind is VerdictKind.OUTSIDE if found else drop.judged.state != "good"
    if outside:
        return Finding(
            "bad",
            "Too much is lost: it points to resistance between the leads, from a dirty or loose "
            "contact, burnt faces, or strands that are broken.",
        )
    if found and found.kind is VerdictKind.NEAR:
        return Finding("near", "Little is left: measure again warm, and while the harness moves.")
    return Finding(
        "good",
        "Little is lost under this load. That says nothing of when the harness moves or warms.",
    )


def _copper_finding(lost: float, copper: float) -> Finding:
    if lost > _MORE_THAN_COPPER * copper and lost - copper > _HARDLY_ANYTHING:
        return Finding(
            "near",
            f"Sound copper of this wire would lose {volts(copper)}. The rest, "
            f"{volts(lost - copper)}, is lost in its ends, in broken strands, or the wire is "
            "longer or thinner than typed.",
        )
    return Finding("good", f"Sound copper of this wire would lose {volts(copper)} by itself.")


def _drop_chart(drop: _Drop, known: Known) -> Chart:
    limit = known.limits.get(drop.quantity) if drop.allowed is None else None
    high = (limit.limit.high if limit else None) or drop.rule.high
    bars = [("Measured", from_si(drop.volts, "mV"))]
    roles: tuple[Role, ...] = (
        "good" if drop.volts <= max(high, METER_RESOLUTION) else "bad",
        "soft",
    )
    if drop.copper is not None:
        bars.append(("Sound copper", from_si(drop.copper, "mV")))
    return Chart(
        "Voltage lost",
        f"{volts(drop.volts)} lost, and {volts(high)} allowed.",
        Axis(""),
        Axis("Lost", "mV", zero=True),
        (Bars("Lost", tuple(bars), roles[: len(bars)]), Level("Allowed", from_si(high, "mV"))),
    )


VOLTAGE_DROP = MeasurementKind(
    key="voltage_drop",
    name="Voltage drop across one place",
    group=Group.ELECTRICS,
    purpose="Shows resistance where it matters, while the current flows.",
    fields=(
        Choice(
            "sort", "What lies between the leads", tuple((r.key, r.says) for r in RULES.values())
        ),
        Number(
            "drop",
            "Voltage across it",
            Kind.VOLTAGE,
            "mV",
            help="Leads on both sides of the place. A minus sign means that they are swapped.",
            lowest=0.0,
            highest=60.0,
        ),
        LOAD,
        CURRENT,
        LENGTH,
        SECTION,
    ),
    quantities=(*DROPS, JOINT_RESISTANCE, POWER_LOST, WIRE_DROP),
    work_out=_voltage_drop,
    place="any",
    cautions=(LIVE, BRAKES_MAY_WORK, NO_SQUIB),
)
