"""A whole circuit place by place, and the grounds of a car against each other. Pure."""

from __future__ import annotations

from diagnostics.compute.electrics import joint
from diagnostics.compute.electrics_drop import (
    FAULT,
    RULES,
    Budget,
    Place,
    budget,
    judge_drop,
)
from diagnostics.compute.verdict import VerdictKind
from diagnostics.measurements.electrics_drops import JOINT_RESISTANCE, POWER_LOST
from diagnostics.measurements.electrics_words import (
    BRAKES_MAY_WORK,
    CURRENT,
    LIVE,
    LOAD,
    NO_SQUIB,
    OHM,
    percent,
    volts,
)
from diagnostics.measurements.fields import Grid, Number
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.judging import refused_at, verdict_of, worst_first
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from shop.charting import Axis, Bars, Chart, Role, Table
from shop.units import Kind, format_value, from_si

# Row, its name, the sort of place that its figure comes from.
_ALONG = (
    ("post_plus", "Battery post and clamp, positive", "heavy_connection"),
    ("supply_wire", "Wire from battery to fuse", "cable"),
    ("fuse", "Fuse and its holder", "heavy_connection"),
    ("switch", "Switch contacts", "contacts"),
    ("relay", "Relay contacts", "contacts"),
    ("plug_heavy", "Plug or joint, high current", "heavy_connection"),
    ("plug_small", "Plug or joint, small wire", "small_connection"),
    ("load_wire", "Wire from switch to load", "cable"),
    ("ground_wire", "Ground wire of the load", "ground"),
    ("ground_point", "Ground point", "ground"),
    ("post_minus", "Battery strap, post and clamp, negative", "ground"),
)
_NOTHING_MISSING = 0.05
"""Volts between what is lost and what was found that two meters may differ by."""

LOST = Number("drop", "Lost", Kind.VOLTAGE, "mV", lowest=0.0, highest=60.0)


def _circuit(given: Given, known: Known) -> Outcome:
    must_be_loaded(given)
    places = _places(given)
    source, load = given.number_or_none("source"), given.number_or_none("at_load")
    if source is not None and load is not None and load > source:
        raise InputError("The load cannot get more than the source gives.", "at_load")
    with refused_at("places"):
        found = budget(places, source, load)
    return Outcome(
        found.reason,
        _circuit_figures(found, given),
        worst_first(_circuit_findings(found, known)),
        (
            (
                "Each place is measured across itself, with the same load on all the while. Places "
                "that were not measured are not in the sum."
            ),
        ),
        table=_circuit_table(found),
        charts=(_circuit_chart(found),) if found.shares else (),
        sources=(
            *dict.fromkeys(
                f"{RULES[p.rule].says}, at most {format_value(RULES[p.rule].high, 'V')}: "
                f"{RULES[p.rule].source}."
                for p in places
            ),
            "Source less load is the sum of what is lost between: Kirchhoff’s law.",
        ),
    )


def must_be_loaded(given: Given) -> None:
    """Raises InputError beside `load` unless the circuit's own load was on."""
    if given.choice("load") != "on":
        raise InputError(
            "Switch the circuit’s own load on and measure again: without current nothing is lost "
            "anywhere, and every place looks good.",
            "load",
        )


def _places(given: Given) -> list[Place]:
    named = {key: (name, rule) for key, name, rule in _ALONG}
    return [Place(*named[key], cell_of(row["drop"])) for key, row in given.rows("places").items()]


def cell_of(value: float | str | None) -> float:
    """The number of a grid's cell. Raises InputError for an empty one."""
    if not isinstance(value, float | int):
        raise InputError("Fill this in.", "places")
    return float(value)


def _circuit_figures(found: Budget, given: Given) -> tuple[Figure, ...]:
    figures = [
        Figure(
            "circuit_drop",
            "Voltage lost in the whole circuit",
            found.total,
            "mV",
            keep=True,
            reason=found.reason,
        ),
        Figure("supply_side", "Lost on the supply side", found.supply, "mV"),
        Figure("ground_side", "Lost on the ground side", found.ground, "mV"),
    ]
    if found.missing is not None:
        figures.append(Figure("not_found", "Lost elsewhere", found.missing, "mV"))
    current = given.number_or_none("current")
    if current is not None and found.shares:
        worst = joint(found.shares[0][0].drop, current)
        name = found.shares[0][0].name
        figures.append(
            Figure("joint_resistance", f"{name}: resistance", worst.ohms, "mohm", reason=OHM)
        )
        figures.append(Figure("power_lost", f"{name}: power lost", worst.watts, "W", reason=OHM))
    return tuple(figures)


def _circuit_findings(found: Budget, known: Known) -> list[Finding]:
    findings = [
        Finding("bad", f"{place.name}: {judged.reason}")
        for place, _share in found.shares
        if (judged := judge_drop(place.drop, RULES[place.rule])).state != "good"
    ]
    if found.total > FAULT:
        findings.insert(
            0, Finding("bad", f"{volts(found.total)} in all: more than 1 V is a fault.")
        )
    whole = verdict_of(found.total, "circuit_drop", known)
    too_much = whole is not None and whole.kind is VerdictKind.OUTSIDE
    if found.shares and (findings or too_much):
        place, share = found.shares[0]
        findings.append(
            Finding(
                "bad",
                f"Begin here: {place.name}, {percent(share)} of the loss. Put it right and "
                "measure the circuit once more, before a unit is blamed for low voltage.",
            )
        )
    if found.missing is not None and abs(found.missing) > _NOTHING_MISSING:
        findings.append(_missing(found.missing))
    if not findings:
        findings.append(
            Finding(
                "good",
                "Each place that was measured loses no more than its figure under this load.",
            )
        )
    return findings


def _missing(lost: float) -> Finding:
    if lost > 0:
        return Finding(
            "near",
            f"{volts(lost)} more is lost between source and load than was found. A place was "
            "left out: measure what lies between the places above.",
        )
    return Finding(
        "unknown",
        f"The places add up to {volts(-lost)} more than is lost. Two of them overlap, or the load "
        "changed meanwhile: measure again.",
    )


def _circuit_table(found: Budget) -> Table:
    shares = found.shares or ()
    return Table(
        "Lost along the circuit, greatest first",
        ("Place", "Lost", "Share", "At most"),
        tuple(
            (place.name, volts(place.drop), percent(share), volts(RULES[place.rule].high))
            for place, share in shares
        ),
    )


def _circuit_chart(found: Budget) -> Chart:
    roles: list[Role] = [
        "good" if judge_drop(place.drop, RULES[place.rule]).state == "good" else "bad"
        for place, _share in found.shares
    ]
    return Chart(
        "Where the voltage goes",
        found.reason,
        Axis(""),
        Axis("Lost", "mV", zero=True),
        (
            Bars(
                "Lost",
                tuple((place.name, from_si(place.drop, "mV")) for place, _share in found.shares),
                tuple(roles),
            ),
        ),
    )


CIRCUIT_BUDGET = MeasurementKind(
    key="circuit_budget",
    name="A whole circuit, place by place",
    group=Group.ELECTRICS,
    purpose="Adds up what a circuit loses and names the place that takes most of it.",
    fields=(
        LOAD,
        Grid(
            "places",
            "Voltage across each place",
            tuple((key, name) for key, name, _rule in _ALONG),
            (LOST,),
            least=1,
            help="Only the places that this circuit has; leave the others empty.",
        ),
        Number(
            "source",
            "Voltage at the battery meanwhile",
            Kind.VOLTAGE,
            "V",
            required=False,
            help="Across its posts. With the next it shows whether a place was left out.",
            lowest=0.0,
            highest=60.0,
        ),
        Number(
            "at_load",
            "Voltage at the load meanwhile",
            Kind.VOLTAGE,
            "V",
            required=False,
            help="Across the load’s own two pins.",
            lowest=0.0,
            highest=60.0,
        ),
        CURRENT,
    ),
    quantities=(
        DerivedQuantity("circuit_drop", "Voltage lost in the whole circuit", Kind.VOLTAGE, "mV"),
        DerivedQuantity("supply_side", "Lost on the supply side", Kind.VOLTAGE, "mV"),
        DerivedQuantity("ground_side", "Lost on the ground side", Kind.VOLTAGE, "mV"),
        DerivedQuantity("not_found", "Lost elsewhere", Kind.VOLTAGE, "mV"),
        JOINT_RESISTANCE,
        POWER_LOST,
    ),
    work_out=_circuit,
    place="any",
    cautions=(LIVE, BRAKES_MAY_WORK, NO_SQUIB),
)
