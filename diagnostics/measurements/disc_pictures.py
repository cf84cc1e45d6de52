"""Pictures of a disc: from its face, by angle, by bolt position, and as vectors. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnostics.compute.discs import BoltPosition, Lean, RunOut, Thickness, angles, best_of
from diagnostics.measurements.disc_words import degrees, mm, turned_by, whole_turn
from shop.charting import Axis, Band, Bars, Chart, Dots, Layer, Level, Line, Role, Table
from shop.units import from_si

_STEPS = 72
_RIM, _SWELL = 1.0, 0.22
_ANGLE = Axis("Angle from the start mark", "°", low=0, high=360)


def readings_by_angle(found: RunOut, readings: Sequence[float], allowed: float | None) -> Chart:
    """The dial readings with the sine that fits them best, and how much total is allowed."""
    at = [math.degrees(angle) for angle in angles(len(readings))]
    shown = [from_si(one, "mm") for one in readings]
    wave = tuple((one, from_si(found.at(math.radians(one)), "mm")) for one in whole_turn(_STEPS))
    layers: list[Layer] = [
        Line("Fitted sine", wave, "second"),
        Dots("Dial reading", tuple(zip(at, shown, strict=True)), "value"),
    ]
    if allowed is not None:
        middle = (max(shown) + min(shown)) / 2
        half = from_si(allowed, "mm") / 2
        layers.insert(
            0,
            Band(
                "Allowed", ((0, middle - half, middle + half), (360, middle - half, middle + half))
            ),
        )
    high = (
        "no high spot" if found.high_spot is None else f"a high spot at {degrees(found.high_spot)}"
    )
    rows = tuple(
        (degrees(angle), mm(one), mm(fit), mm(left))
        for angle, one, fit, left in zip(
            angles(len(readings)), readings, found.fitted, found.left_over, strict=True
        )
    )
    return Chart(
        "Dial reading by angle",
        f"The readings span {mm(found.total)}; the fitted sine spans {mm(found.once_per_turn)} "
        f"with {high}.",
        _ANGLE,
        Axis("Dial reading", "mm"),
        tuple(layers),
        table=Table("Readings and fit", ("Angle", "Reading", "Fitted", "Left over"), rows),
    )


def thickness_by_angle(found: Thickness, readings: Sequence[float], allowed: float | None) -> Chart:
    """How much thicker than its thinnest point the disc is, all round."""
    at = whole_turn(len(readings))
    over = [from_si(round(one - found.least, 12), "um") for one in readings]
    thinnest = tuple((math.degrees(angle), 0.0) for angle in found.thinnest)
    layers: list[Layer] = [
        Line("Thickness", tuple(zip(at, [*over, over[0]], strict=True)), "value", dots=True),
        Dots("Thinnest", thinnest, "near"),
    ]
    if allowed is not None:
        layers.append(Level("Allowed variation", from_si(allowed, "um")))
    rows = tuple(
        (degrees(angle), mm(one))
        for angle, one in zip(angles(len(readings)), readings, strict=True)
    )
    return Chart(
        "Thickness by angle",
        f"The disc is up to {mm(found.variation)} thicker than at its thinnest point, "
        f"{' and '.join(degrees(one) for one in found.thinnest)} from the start mark.",
        _ANGLE,
        Axis("Above the thinnest point", "µm", zero=True),
        tuple(layers),
        table=Table("Thickness by angle", ("Angle", "Thickness"), rows),
    )


def from_the_face(found: RunOut, bolts: int | None) -> Chart:
    """The disc seen from its face, start mark up, points counted clockwise; run-out swollen."""
    largest = max(abs(found.amplitude), *(abs(a + b) for a, b in _parts(found))) or 1.0
    seen = [_RIM + _SWELL * (fit - found.mean + left) / largest for fit, left in _points(found)]
    layers: list[Layer] = [
        Line("True rim", _circle(_RIM), "soft", dashed=True),
        Line("Hub", _circle(0.32), "soft"),
        Line("Fitted", _wavy(found, largest), "second"),
        Dots(
            "Readings",
            tuple(_at(r, angle) for r, angle in zip(seen, angles(len(seen)), strict=True)),
            "value",
        ),
    ]
    if bolts:
        layers.append(Dots("Bolts", tuple(_at(0.2, one) for one in angles(bolts)), "soft"))
    says = "The disc turns true: it has no high spot."
    if found.high_spot is not None:
        high, low = found.high_spot, found.high_spot + math.pi
        layers.append(Line("Start mark", (_at(1.26, 0), _at(1.36, 0)), "limit"))
        layers.append(Dots("High spot", (_at(_RIM + _SWELL, high),), "bad"))
        layers.append(Dots("Low spot", (_at(_RIM - _SWELL, low),), "good"))
        says = (
            f"The high spot lies {degrees(high)} from the start mark, the low spot opposite at "
            f"{degrees(low)}. The run-out is drawn far larger than it is."
        )
    return Chart(
        "The disc from its face",
        says,
        Axis("", low=-1.4, high=1.4),
        Axis("", low=-1.4, high=1.4),
        tuple(layers),
        square=True,
    )


def by_bolt_position(positions: Sequence[BoltPosition], allowed: float | None) -> Chart:
    """The run-out to expect at each bolt position, the least one marked."""
    best = best_of(positions)
    bars = tuple(
        (turned_by(one.step, len(positions)), round(from_si(one.together.total, "mm"), 3))
        for one in positions
    )
    roles: tuple[Role, ...] = tuple("good" if one is best else "value" for one in positions)
    layers: list[Layer] = [Bars("Run-out", bars, roles)]
    if allowed is not None:
        layers.append(Level("Allowed", from_si(allowed, "mm")))
    return Chart(
        "Run-out by bolt position",
        f"Least {turned_by(best.step, len(positions))}, {mm(best.together.total)}; most "
        f"{mm(max(one.together.total for one in positions))}.",
        Axis("Disc turned"),
        Axis("Run-out, once per turn", "mm", zero=True),
        tuple(layers),
    )


def as_vectors(
    disc: Lean, hub: Lean, positions: Sequence[BoltPosition], allowed: float | None
) -> Chart:
    """Hub and disc laid end to end, and where the disc's end comes at each bolt position."""
    best = best_of(positions)
    hub_at, now_at = _tip(hub), _tip(positions[0].together)
    reach = 1.05 * max(
        from_si(hub.amplitude + disc.amplitude, "mm"),
        from_si(allowed or 0.0, "mm") / 2,
        0.001,
    )
    layers: list[Layer] = [
        Line("Hub flange", ((0.0, 0.0), hub_at), "second"),
        Line("Disc as it is bolted", (hub_at, now_at), "third"),
        Line("Together", ((0.0, 0.0), now_at), "value"),
        Line("Disc, turned", _circle(from_si(disc.amplitude, "mm"), hub_at), "soft"),
        Dots("Other bolt positions", tuple(_tip(one.together) for one in positions), "soft"),
        Dots("Least", (_tip(best.together),), "good"),
    ]
    if allowed is not None:
        layers.insert(0, Line("Allowed", _circle(from_si(allowed, "mm") / 2), "limit", dashed=True))
    return Chart(
        "Hub and disc as arrows",
        "Each point is where hub and disc together point at one bolt position; the nearer to the "
        f"middle, the less run-out. Nearest is {turned_by(best.step, len(positions))}.",
        Axis("", low=-reach, high=reach),
        Axis("", low=-reach, high=reach),
        tuple(layers),
        square=True,
    )


def bolt_table(positions: Sequence[BoltPosition]) -> Table:
    """Turn, run-out and high spot for each bolt position, the least one marked."""
    best = best_of(positions)
    rows = tuple(
        (
            turned_by(one.step, len(positions)) + (" (least)" if one is best else ""),
            degrees(one.turned),
            mm(one.together.total),
            degrees(one.together.angle),
        )
        for one in positions
    )
    heads = ("Disc turned", "Angle", "Run-out together", "High spot")
    return Table("Every way the disc can be bolted on", heads, rows)


def _parts(found: RunOut) -> list[tuple[float, float]]:
    return [(fit - found.mean, left) for fit, left in _points(found)]


def _points(found: RunOut) -> list[tuple[float, float]]:
    return list(zip(found.fitted, found.left_over, strict=True))


def _at(radius: float, angle: float) -> tuple[float, float]:
    """Start mark at the top, counted clockwise."""
    return radius * math.sin(angle), radius * math.cos(angle)


def _tip(lean: Lean) -> tuple[float, float]:
    return _at(from_si(lean.amplitude, "mm"), lean.angle)


def _circle(
    radius: float, middle: tuple[float, float] = (0.0, 0.0)
) -> tuple[tuple[float, float], ...]:
    turn = [_at(radius, math.radians(one)) for one in whole_turn(_STEPS)]
    return tuple((middle[0] + x, middle[1] + y) for x, y in turn)


def _wavy(found: RunOut, largest: float) -> tuple[tuple[float, float], ...]:
    turn = [math.radians(one) for one in whole_turn(_STEPS)]
    return tuple(
        _at(_RIM + _SWELL * (found.at(angle) - found.mean) / largest, angle) for angle in turn
    )
