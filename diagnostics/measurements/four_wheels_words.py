"""What four compared wheels look like, in sentences. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.compute.four_wheels import Comparison, Explanation, WheelFound, explanations
from diagnostics.measurements.fields import FOUR_WHEELS
from diagnostics.measurements.outcome import Finding
from diagnostics.measurements.wheel_tyres import Tyre
from shop.units import format_value

NAMES: Mapping[str, str] = dict(FOUR_WHEELS)
_COUNTS = {2: "two", 3: "three", 4: "four"}
_PAIRS = {
    "axles": (("LF", "RF"), ("LR", "RR"), "Both front wheels", "both rear wheels"),
    "sides": (("LF", "LR"), ("RF", "RR"), "Both left wheels", "both right wheels"),
    "diagonals": (("LF", "RR"), ("RF", "LR"), "Left front and right rear", "the other two"),
}
_EXPLAINED = 0.01
"""Ratio: so near to what the fitted size makes, the size explains the difference."""


@dataclass(frozen=True, slots=True)
class Car:
    """What is known of the car beside the readings. rings, fitted: where a wheel has another
    count of teeth or another size."""

    tyre: Tyre | None
    teeth: int | None
    rings: Mapping[str, int]
    fitted: Mapping[str, Tyre]
    road_unit: str


def _percent(ratio: float) -> str:
    return format_value(abs(ratio), "%", decimals=1)


def _more_or_less(ratio: float) -> str:
    return f"{_percent(ratio)} {'more' if ratio > 0 else 'less'}"


def headline(found: Comparison) -> str:
    """The sentence that leads."""
    if found.pattern == "agree":
        count = _COUNTS[len(found.wheels)]
        return f"All {count} wheels agree within {_percent(max(found.allowed))}."
    if found.pattern == "none_agree":
        return "No two wheels agree, so none can be called wrong."
    if found.pattern != "some_off":
        _, _, one, other = _PAIRS[found.pattern]
        apart = _percent(_apart(found))
        return f"{one} differ from {other} by {apart}; the wheels of each pair agree."
    off = found.off
    if len(off) > 1:
        names = " and ".join(_lowered(wheel, first=i == 0) for i, wheel in enumerate(off))
        return f"{names} disagree with the other {_COUNTS[len(found.reference)]}."
    wheel, name = off[0], NAMES[off[0].wheel]
    if wheel.state == "silent":
        return f"{name} shows no speed while the others turn."
    if wheel.state == "drops_out":
        return f"{name} loses its speed at one of the readings."
    others = f"the other {_COUNTS[len(found.reference)]}"
    if wheel.state == "varies":
        return f"{name} differs from {others}, and not by the same at each speed."
    return f"{name} shows {_more_or_less(wheel.typical)} than {others}."


def _lowered(wheel: WheelFound, *, first: bool) -> str:
    name = NAMES[wheel.wheel]
    return name if first else name.lower()


def _apart(found: Comparison) -> float:
    """Of two pairs: how much more the second shows than the first."""
    one, other, *_ = _PAIRS[found.pattern]
    typical = {wheel.wheel: wheel.typical for wheel in found.wheels}
    first, second = (sum(1 + typical[w] for w in pair) / 2 for pair in (one, other))
    return second / first - 1


def findings_of(found: Comparison, car: Car) -> tuple[Finding, ...]:
    """Worst first."""
    match found.pattern:
        case "agree":
            return (Finding("good", _all_agree(found)),)
        case "none_agree":
            return (
                Finding(
                    "unknown",
                    "Repeat it on a straight road at a steady speed, with all wheels read at the "
                    "same moment. In a bend, on the throttle or on the brake no two wheels agree.",
                ),
                *_silent_ones(found, car),
            )
        case "sides":
            return (Finding("unknown", _sides()),)
        case "axles":
            return (Finding("bad", _axles(found, car)),)
        case "diagonals":
            return (Finding("bad", _diagonals()),)
    return tuple(Finding("bad", _about(wheel, found, car), wheel.wheel) for wheel in found.off)


def _silent_ones(found: Comparison, car: Car) -> tuple[Finding, ...]:
    return tuple(
        Finding("bad", _about(wheel, found, car), wheel.wheel)
        for wheel in found.wheels
        if wheel.lost
    )


def _all_agree(found: Comparison) -> str:
    speeds = "at this speed" if len(found.road) == 1 else "at these speeds"
    return (
        f"No tyre, ring or sensor stands out {speeds}. It does not show a sensor that fails at "
        "other speeds, in the wet, or when the harness is moved."
    )


def _sides() -> str:
    return (
        "Left and right differ, as they do in a bend or on a sloping road. Repeat it straight and "
        "steady, best once in each direction, before anything is made of it."
    )


def _diagonals() -> str:
    return (
        "Two pairs stand crosswise against each other, so the speeds alone do not tell which pair "
        "is right. Read the size on all four sidewalls, and count the teeth of one of each pair."
    )


def _axles(found: Comparison, car: Car) -> str:
    apart = _apart(found)
    more, less = ("rear", "front") if apart > 0 else ("front", "rear")
    says = (
        f"The {more} wheels show {_percent(apart)} more than the {less} ones. Smaller tyres on "
        f"the {more} axle, rings with more teeth there, or driven wheels that slip under power do "
        "that; some cars have two sizes from the maker. The speeds alone do not tell which axle "
        "is right."
    )
    if car.tyre:
        across = car.tyre.diameter / (1 + abs(apart))
        usual = format_value(car.tyre.diameter, "mm", decimals=0)
        says += f" Tyres {format_value(across, 'mm', decimals=0)} across against {usual} do it."
    return says


def _about(wheel: WheelFound, found: Comparison, car: Car) -> str:
    match wheel.state:
        case "silent":
            return (
                "Shows no speed at all. The sensor, its wires and connector, the gap and "
                "the ring can each do that, and so can the module's input. It does not show which: "
                "measure the circuit and turn the wheel by hand."
            )
        case "drops_out":
            return _drops_out(wheel, found, car)
        case "varies":
            return _varies(wheel, found, car)
    return _steady(wheel, found, car)


def _at(found: Comparison, place: int, car: Car) -> str:
    return format_value(found.road[place], car.road_unit, digits=3)


def _drops_out(wheel: WheelFound, found: Comparison, car: Car) -> str:
    lost = [place for place, off in enumerate(wheel.deviations) if off == -1.0]
    kept = [place for place in range(len(found.road)) if place not in lost]
    where = " and ".join(_at(found, place, car) for place in lost)
    slow = max(found.road[place] for place in lost) < min(found.road[place] for place in kept)
    if slow:
        return (
            f"Shows nothing at {where} and works at higher speed. A passive sensor whose "
            "signal is too small does so: look at the gap, at rust or swarf on the ring, and at "
            "the winding. Some testers show no speed below walking pace on any wheel."
        )
    return (
        f"Shows nothing at {where}, but works at lower speed. A wire or connector that "
        "opens does so, or a sensor that moves: shake the harness while somebody watches the value."
    )


def _varies(wheel: WheelFound, found: Comparison, car: Car) -> str:
    by_speed = sorted(range(len(found.road)), key=lambda place: found.road[place])
    slow, fast = by_speed[0], by_speed[-1]
    course = " and ".join(
        f"{_more_or_less(wheel.deviations[place])} at {_at(found, place, car)}"
        for place in (slow, fast)
    )
    begin = f"Shows {course}. Neither a tyre nor a ring does that. "
    if wheel.deviations[slow] < wheel.deviations[fast] <= max(found.allowed):
        return begin + (
            "Pulses are left out at low speed, as with a signal that is too small: look at the "
            "gap, the ring and the winding."
        )
    if wheel.deviations[fast] < wheel.deviations[slow] <= max(found.allowed):
        return begin + (
            "Pulses are left out at higher speed: a loose connection, a worn bearing or a loose "
            "ring that shakes does so. Look at a capture of the signal."
        )
    return begin + (
        "Extra or missing pulses do: look for a damaged shield, a wire beside the ignition's or "
        "the alternator's, and a ring that is loose. Look at a capture of the signal."
    )


def _steady(wheel: WheelFound, found: Comparison, car: Car) -> str:
    off = wheel.typical
    everywhere = " at each speed" if len(found.road) > 1 else ""
    begin = f"Shows {_more_or_less(off)} than the others{everywhere}. "
    fitted = _fitted(wheel, car)
    if fitted:
        return begin + fitted
    fits = explanations(
        off, teeth=_teeth(wheel, car), diameter=None if car.tyre is None else car.tyre.diameter
    )
    if not fits:
        return begin + (
            "No likely tyre or ring makes that much. A failing sensor, noise on the line or a ring "
            "of another kind can: look at a capture of the signal."
        )
    said = " ".join(_explained(one, wheel, car) for one in fits)
    told_apart = (
        " The speeds do not tell the two apart: measure the tyres, and count the teeth."
        if len(fits) > 1
        else " Read the sidewalls and the pressures, and measure the tyres first."
        if fits[0].kind in ("tyre", "wear")
        else ""
    )
    return begin + said + told_apart


def _fitted(wheel: WheelFound, car: Car) -> str:
    """What the size fitted at that wheel has to do with it, "" where none was given."""
    tyre = car.fitted.get(wheel.wheel)
    if tyre is None or car.tyre is None:
        return ""
    makes = car.tyre.rolling / tyre.rolling - 1
    if abs((1 + wheel.typical) / (1 + makes) - 1) <= _EXPLAINED:
        return (
            f"The {tyre.words} fitted there makes {_more_or_less(makes)} than {car.tyre.words}, "
            "which explains it. Nothing here points at the sensor or the ring."
        )
    return (
        f"The {tyre.words} fitted there would make {_more_or_less(makes)} than {car.tyre.words}, "
        "which does not explain it alone. Count the teeth, and look at the sensor."
    )


def _teeth(wheel: WheelFound, car: Car) -> int | None:
    return car.rings.get(wheel.wheel, car.teeth)


def _explained(one: Explanation, wheel: WheelFound, car: Car) -> str:
    match one.kind:
        case "twice":
            return "That is near twice as much, as when noise or a second edge is counted."
        case "ring":
            return _ring(one, _teeth(wheel, car) or one.teeth)
    size = f"{_percent(one.share)} {'smaller' if one.share < 0 else 'larger'}"
    across = ""
    if one.diameter is not None and car.tyre is not None:
        across = (
            f": {format_value(one.diameter, 'mm', decimals=0)} across instead of "
            f"{format_value(car.tyre.diameter, 'mm', decimals=0)}"
        )
        alike = car.tyre.as_another_size(one.diameter)
        if one.kind == "tyre" and alike:
            across += f", about as {' or '.join(alike)}"
    begin = f"A tyre {size} would do it{across}."
    if one.kind == "wear":
        worn = "Wear or low pressure" if wheel.typical > 0 else "A new tyre among worn ones"
        return f"{begin} {worn} can make as much."
    return begin


def _ring(one: Explanation, usual: int) -> str:
    missing = usual - one.teeth
    if missing > 0:
        teeth = "one tooth" if missing == 1 else f"{missing} teeth"
        return (
            f"So would a ring of {one.teeth} teeth for {usual}, or {teeth} not counted in each "
            "turn (broken, or packed with rust)."
        )
    return f"So would a ring of {one.teeth} teeth for {usual}."
