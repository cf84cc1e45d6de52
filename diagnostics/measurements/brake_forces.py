"""What brake forces say, for the service, the secondary and the parking brake alike. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.compute.braking import (
    LEFT_AND_RIGHT,
    Efficiency,
    Imbalance,
    Rule,
    Standing,
    System,
    WheelForce,
    efficiency,
    imbalance,
    variation_in_a_turn,
)
from diagnostics.measurements.brake_rules import (
    DANGEROUS_SAYS,
    GB_SOURCE,
    US_SIDE_SOURCE,
    efficiency_allowed,
    efficiency_says,
    is_newer_car,
    percent,
    rule_of,
    tone_of_standing,
)
from diagnostics.measurements.fields import FOUR_WHEELS
from diagnostics.measurements.given import Given, InputError, Row
from diagnostics.measurements.judging import refused_at
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Allowed, Figure, Finding
from shop.charting import Axis, Bars, Chart, Role, Table
from shop.units import format_value, from_si

WHEEL_NAMES: Mapping[str, str] = dict(FOUR_WHEELS)
_SHOWN_IN = {Rule.GB: "kgf", Rule.US: "lbf", None: "N"}


@dataclass(frozen=True, slots=True)
class Tried:
    """One system on the rollers. whole: None without a weight or without every wheel of it."""

    system: System
    rule: Rule | None
    wheels: Mapping[str, WheelForce]
    swings: Mapping[str, float]
    sides: Mapping[str, Imbalance]
    whole: Efficiency | None
    mass: float | None

    @property
    def unit(self) -> str:
        return _SHOWN_IN[self.rule]

    def force(self, newton: float) -> str:
        return format_value(newton, self.unit, decimals=0)


def tried(given: Given, known: Known, system: System) -> Tried:
    """Reads grid "forces" and number "weight". Raises InputError beside its field."""
    rule = rule_of(given, known)
    rows = given.rows("forces")
    wheels = {
        key: WheelForce(_number(row, "force"), row.get("locked") == "yes")
        for key, row in rows.items()
    }
    _whole_axles(wheels)
    steered = ("front", "rear") if given.choice("steered") == "both" else ("front",)
    judged_by = None if system is System.PARKING else rule
    sides = {
        axle: imbalance(wheels[left], wheels[right], judged_by, steered=axle in steered)
        for axle, (left, right) in LEFT_AND_RIGHT.items()
        if left in wheels
    }
    mass = given.number_or_none("weight")
    whole = None
    if mass is not None and (system is not System.SERVICE or len(wheels) == len(WHEEL_NAMES)):
        asks_age = rule is Rule.GB and system is System.SERVICE
        newer = is_newer_car(given, known) if asks_age else True
        with refused_at("weight"):
            whole = efficiency(tuple(wheels.values()), mass, rule, system=system, newer=newer)
    return Tried(system, rule, wheels, _swings(rows), sides, whole, mass)


def _number(row: Row, column: str) -> float:
    value = row[column]
    if not isinstance(value, float):
        raise InputError("Fill this in.", column)
    return value


def _whole_axles(wheels: Mapping[str, WheelForce]) -> None:
    for pair in LEFT_AND_RIGHT.values():
        missing = [wheel for wheel in pair if wheel not in wheels]
        if len(missing) == 1:
            raise InputError(
                "Type both wheels of the axle; 0 for one that does not brake.",
                f"forces-{missing[0]}-force",
            )


def _swings(rows: Mapping[str, Row]) -> dict[str, float]:
    found = {}
    for key, row in rows.items():
        least = row.get("least")
        if isinstance(least, float):
            with refused_at(f"forces-{key}-least"):
                found[key] = variation_in_a_turn(_number(row, "force"), least)
    return found


# ---- figures ----


def efficiency_figure(found: Tried, quantity: str, name: str) -> tuple[Figure, ...]:
    """The efficiency, kept and with its limit; nothing where it could not be worked out."""
    if found.whole is None or found.mass is None:
        return ()
    whole = found.whole
    allowed = None
    if whole.required is not None:
        allowed = efficiency_allowed(whole.required, by_lock=whole.by_lock)
    reason = (
        f"{found.force(whole.total)} in all over the weight of "
        f"{format_value(found.mass, 'kg', decimals=0)}."
    )
    if whole.by_lock:
        reason += f" {whole.reason}"
    return (Figure(quantity, name, whole.value, "%", keep=True, allowed=allowed, reason=reason),)


_NOT_FOR_PARKING = "The difference over the higher force; no rule judges it here."


def side_figures(found: Tried, quantity: str, name: str) -> tuple[Figure, ...]:
    """One for each axle. The parking brake's are shown and not kept: neither rule judges them."""
    return tuple(
        Figure(
            quantity,
            name,
            side.value,
            "%",
            position=axle,
            keep=found.system is not System.PARKING,
            allowed=_side_allowed(found.rule, side),
            reason=_NOT_FOR_PARKING if found.system is System.PARKING else side.reason,
        )
        for axle, side in found.sides.items()
    )


def _side_allowed(rule: Rule | None, side: Imbalance) -> Allowed | None:
    if side.allowed is None:
        return None
    if side.standing is Standing.DISREGARDED:
        return Allowed("%", GB_SOURCE, high=1.0, conditions=side.reason.rstrip("."))
    source = GB_SOURCE if rule is Rule.GB else US_SIDE_SOURCE
    return Allowed("%", source, high=side.allowed)


def swing_figures(found: Tried) -> tuple[Figure, ...]:
    """How far each wheel's force swings in a turn, where that was typed."""
    return tuple(
        Figure(
            "brake_force_variation",
            "Brake force variation in one turn",
            swing,
            "%",
            position=wheel,
            reason="Greatest less least force in one turn, over the greatest (common practice).",
        )
        for wheel, swing in found.swings.items()
    )


# ---- findings ----


def about_whole(found: Tried) -> list[Finding]:
    """How the efficiency stands and what a weak one points to."""
    whole = found.whole
    if whole is None:
        missing = "the test weight" if found.mass is None else "the forces of all four wheels"
        return [Finding("unknown", f"Without {missing} no efficiency can be worked out.")]
    if whole.required is None:
        return []
    if whole.by_lock:
        says = (
            f"{whole.reason} The figure itself, {percent(whole.value)}, shows the grip on the "
            "rollers and not what the brakes can do."
        )
        return [Finding("good", says)]
    says = efficiency_says(whole.standing, whole.value, whole.required)
    if whole.standing is not Standing.MET:
        says += _POINTS[found.system]
    return [Finding(tone_of_standing(whole.standing), says)]


_POINTS = {
    System.SERVICE: (
        " All wheels low points to linings or assist, one low wheel to that wheel; an axle that "
        "locks early is only light. It does not show which."
    ),
    System.SECONDARY: " See first that every wheel of this system pulls.",
    System.PARKING: (
        " Adjustment, a stretched or seized cable, an actuator or worn linings come into question; "
        "it does not show which."
    ),
}


def about_sides(found: Tried) -> list[Finding]:
    """How each axle's difference stands and what it points to."""
    return [_about_side(found, axle, side) for axle, side in found.sides.items()]


_MORE = {
    Standing.FAILED: "",
    Standing.MAJOR: ": a major defect by the rule",
    Standing.DANGEROUS: ", and on a steered axle the lower wheel is under half of the other",
}


def _about_side(found: Tried, axle: str, side: Imbalance) -> Finding:
    tone = tone_of_standing(side.standing)
    differ = f"The wheels differ by {percent(side.value)}"
    if side.standing is Standing.DISREGARDED:
        return Finding(tone, f"{differ}. {side.reason}", axle)
    if side.allowed is None or side.standing is Standing.NOT_JUDGED:
        return Finding("unknown", f"{differ}; not judged.", axle)
    if side.standing is Standing.MET:
        return Finding(tone, f"{differ}, within the {percent(side.allowed)} allowed.", axle)
    says = (
        f"{differ}; {percent(side.allowed)} is allowed{_MORE[side.standing]}. The {side.lower} "
        f"wheel is the low "
        "one: caliper or slides, oil or glaze on its linings, a hose closed inside, or air come "
        "into question, or the other one drags. Compare the pressures; this does not show which."
    )
    if side.standing is Standing.DANGEROUS:
        says += f" {DANGEROUS_SAYS}"
    return Finding(tone, says, axle)


# ---- picture and tables ----


def forces_picture(found: Tried, title: str) -> Chart:
    """A bar for each wheel, the low one of an axle that is out marked."""
    bars = tuple((_label(found, key), _shown(found, key)) for key in found.wheels)
    roles = tuple(_role(found, key) for key in found.wheels)
    spread = "; ".join(
        f"{axle} {found.force(found.wheels[left].force)} left and "
        f"{found.force(found.wheels[right].force)} right"
        for axle, (left, right) in LEFT_AND_RIGHT.items()
        if left in found.wheels
    )
    rows = tuple(
        (
            WHEEL_NAMES[key],
            found.force(wheel.force),
            "yes" if wheel.locked else "no",
            percent(found.swings[key]) if key in found.swings else "",
        )
        for key, wheel in found.wheels.items()
    )
    return Chart(
        title,
        f"Brake forces: {spread}.",
        Axis("Wheel"),
        Axis("Brake force", found.unit, zero=True),
        (Bars("Brake force", bars, roles),),
        table=Table("Brake forces", ("Wheel", "Force", "Locked", "Variation in a turn"), rows),
    )


def _shown(found: Tried, key: str) -> float:
    return round(from_si(found.wheels[key].force, found.unit))


def _label(found: Tried, key: str) -> str:
    return WHEEL_NAMES[key] + (", locked" if found.wheels[key].locked else "")


def _role(found: Tried, key: str) -> Role:
    for axle, pair in LEFT_AND_RIGHT.items():
        side = found.sides.get(axle)
        if side is not None and key in pair:
            low = {"left": pair[0], "right": pair[1]}.get(side.lower)
            out = tone_of_standing(side.standing) == "bad"
            return "bad" if out and low == key else "value"
    return "value"


_WORDS = {
    Standing.DISREGARDED: "left out of account",
    Standing.NOT_JUDGED: "not judged",
    Standing.FAILED: "more than allowed",
}


def summary(found: Tried) -> Table:
    """Every figure beside what the rule asks."""
    rows = [
        (
            f"{axle.capitalize()} axle, difference",
            percent(side.value),
            f"at most {percent(side.allowed)}" if side.allowed is not None else "",
            _word(side.standing),
        )
        for axle, side in found.sides.items()
    ]
    if found.whole is not None:
        needed = found.whole.required
        rows.append(
            (
                "Efficiency",
                percent(found.whole.value),
                f"at least {percent(needed)}" if needed is not None else "",
                _word(found.whole.standing),
            )
        )
    return Table("Before the rule", ("", "Measured", "Required", "Standing"), tuple(rows))


def _word(standing: Standing) -> str:
    return _WORDS.get(standing, standing.value)
