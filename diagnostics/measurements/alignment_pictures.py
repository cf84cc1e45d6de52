"""The car from above with its toes drawn larger, and the table of its angles. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping

from diagnostics.compute.alignment import Thrust, included_angle
from diagnostics.measurements.angle_words import signed
from diagnostics.measurements.given import Row
from shop.charting import Axis, Chart, Dots, Layer, Line, Table

# Where the wheels stand in the drawing: x to the right, y ahead.
_PLACES = {"LF": (-0.75, 1.3), "RF": (0.75, 1.3), "LR": (-0.75, -1.3), "RR": (0.75, -1.3)}
_NAMES = {"LF": "Left front", "RF": "Right front", "LR": "Left rear", "RR": "Right rear"}
_HALF_WHEEL = 0.45
_DRAWN_MOST = math.radians(12)
_TIMES = (100, 50, 20, 10, 5, 2, 1)
_STRAIGHT = math.radians(0.005)


def from_above(toe: Mapping[str, float], thrust: Thrust | None) -> Chart:
    """Every wheel that has a toe, and the way that the rear axle drives."""
    shown = [*toe.values(), *([thrust.to_right] if thrust else [])]
    times = _times(max(abs(angle) for angle in shown))
    layers: list[Layer] = [
        Line("Middle of the car", ((0.0, -2.0), (0.0, 2.0)), "soft", dashed=True),
        *(_wheel(wheel, angle, times) for wheel, angle in toe.items()),
        *(Dots(f"{wheel} {signed(angle)}", (_PLACES[wheel],)) for wheel, angle in toe.items()),
    ]
    if thrust is not None and abs(thrust.to_right) >= _STRAIGHT:
        layers.append(Line("Thrust", _ray((0.0, -1.3), thrust.to_right * times, 3.2), "second"))
    return Chart(
        title="From above",
        says=_says(toe, thrust, times),
        x=Axis("", low=-2.2, high=2.2),
        y=Axis("", low=-2.2, high=2.2),
        layers=tuple(layers),
        square=True,
    )


def _times(largest: float) -> int:
    return next((n for n in _TIMES if n * largest <= _DRAWN_MOST), 1)


def _wheel(wheel: str, toe: float, times: int) -> Line:
    """Toe-in turns the front of a left wheel to the right and that of a right wheel to the left."""
    x, y = _PLACES[wheel]
    to_right = toe * times * (1 if x < 0 else -1)
    across, ahead = _HALF_WHEEL * math.sin(to_right), _HALF_WHEEL * math.cos(to_right)
    return Line("", ((x - across, y - ahead), (x + across, y + ahead)))


def _ray(
    start: tuple[float, float], to_right: float, length: float
) -> tuple[tuple[float, float], ...]:
    x, y = start
    return (start, (x + length * math.sin(to_right), y + length * math.cos(to_right)))


def _says(toe: Mapping[str, float], thrust: Thrust | None, times: int) -> str:
    drawn = "as they are" if times == 1 else f"{times} times as large"
    angles = ", ".join(f"{_NAMES[wheel].lower()} {signed(angle)}" for wheel, angle in toe.items())
    says = f"The car from above, angles drawn {drawn}: {angles}."
    return f"{says} {thrust.reason}" if thrust else says


def table_of(rows: Mapping[str, Row], names: Mapping[str, str]) -> Table:
    """Every angle that was measured, with the included angle where it follows."""
    heads = ("Wheel", "Toe", "Camber", "Caster", "Inclination", "Included angle")
    lines = []
    for wheel, row in rows.items():
        angles = [row.get(name) for name in ("toe", "camber", "caster", "sai")]
        cells = [signed(angle) if isinstance(angle, float) else "" for angle in angles]
        camber, sai = row.get("camber"), row.get("sai")
        both = isinstance(camber, float) and isinstance(sai, float)
        cells.append(signed(included_angle(float(sai or 0), float(camber or 0))) if both else "")
        lines.append((names[wheel], *cells))
    used = [at for at in range(len(heads)) if any(line[at] for line in lines)]
    return Table(
        "Angles of the wheels",
        tuple(heads[at] for at in used),
        tuple(tuple(line[at] for at in used) for line in lines),
    )
