"""Play at the steering wheel and in its linkage, and the overall steering ratio. Pure.

Lengths in metres, angles in radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

INCH = 0.0254
LINKAGE_PLAY = 0.25 * INCH
"""Most play in the linkage, at the tread: 49 CFR 570.7(b) (read)."""

Gear = Literal["rack", "joints", "box"]

# 49 CFR 570.7(a) table 1 (read): diameter of the steering wheel, lash at its rim, inches.
_US_ROWS = ((16.0, 2.0), (18.0, 2.25), (20.0, 2.5), (22.0, 2.75))
# A wheel measured to the millimetre stands in its row although 18 in are 457.2 mm.
_NEAREST_MILLIMETRE = 0.0005
# GB test manual, 2012 text, section 2.2 (read in copies): at the rim of a 380 mm wheel.
_GB_STANDARD_WHEEL = 0.380
_GB_PLAY: dict[Gear, float] = {"rack": 0.013, "joints": 0.048, "box": 0.075}
_GB_GEAR: dict[Gear, str] = {
    "rack": "with rack and pinion",
    "joints": "with several joints between wheel and rack",
    "box": "without a rack",
}


@dataclass(frozen=True, slots=True)
class PlayLimit:
    """The most play allowed at the rim, metres along it; why this figure, and from where."""

    most: float
    reason: str
    source: str


def us_free_play(diameter: float) -> PlayLimit:
    """The play that 49 CFR 570.7(a) table 1 allows for a steering wheel of `diameter` metres.

    The rule has no row between its rows, so the next smaller one holds; below 16 in the first,
    above 22 in the last. Source: the table, read in a copy of the code. Raises ValueError for a
    diameter that is not above nought.
    """
    _above_nought(diameter, "The diameter of the steering wheel")
    reached = [row for row in _US_ROWS if diameter + _NEAREST_MILLIMETRE >= row[0] * INCH]
    row, lash = reached[-1] if reached else _US_ROWS[0]
    own = diameter / INCH
    if not reached or abs(own - row) * INCH <= _NEAREST_MILLIMETRE:
        reason = f"The rule's row for {'up to ' if row == 16 else ''}{row:g} in allows {lash:g} in."
    elif row == _US_ROWS[-1][0]:
        reason = (
            f"The rule's last row, {row:g} in, allows {lash:g} in; it has none for {own:.1f} in."
        )
    else:
        reason = (
            f"The rule has no row for {own:.1f} in and does not say to interpolate: "
            f"the next smaller row, {row:g} in, allows {lash:g} in."
        )
    return PlayLimit(
        lash * INCH, reason, "49 CFR 570.7(a), table 1, vehicles to 10\u202f000 lb (read)"
    )


def gb_free_play(diameter: float, gear: Gear) -> PlayLimit:
    """The play that the GB test manual (2012 text) allows for a steering wheel of `diameter`.

    The manual gives 13 mm with a rack, 48 mm with several joints before it and 75 mm without one
    for a wheel of 380 mm. For others it asks for "lower or higher" limits and does not say how: a
    smaller wheel is given less here, in proportion, and a larger one no more. Source: section 2.2,
    read in two copies. Raises ValueError for a diameter that is not above nought.
    """
    _above_nought(diameter, "The diameter of the steering wheel")
    at_standard = _GB_PLAY[gear]
    most = at_standard * min(1.0, diameter / _GB_STANDARD_WHEEL)
    reason = f"The manual allows {at_standard * 1000:g} mm {_GB_GEAR[gear]} on a 380 mm wheel"
    if diameter < _GB_STANDARD_WHEEL - _NEAREST_MILLIMETRE:
        reason += f": in proportion {most * 1000:.1f} mm on this smaller one"
    elif diameter > _GB_STANDARD_WHEEL + _NEAREST_MILLIMETRE:
        reason += "; it does not say how much more a larger one may have, so none is given"
    return PlayLimit(most, f"{reason}.", "GB test manual, 2012 text, section 2.2 (read in copies)")


def rim_angle(path: float, diameter: float) -> float:
    """The angle, radians, through which a wheel turns when its rim moves `path` metres along it.

    angle = 2 path / diameter. Raises ValueError for a negative path or a diameter not above nought.
    """
    _above_nought(diameter, "The diameter of the steering wheel")
    _not_negative(path, "The play")
    return 2 * path / diameter


def rim_path(angle: float, diameter: float) -> float:
    """The way of the rim, metres, when the wheel turns through `angle` radians. See `rim_angle`."""
    _above_nought(diameter, "The diameter of the steering wheel")
    _not_negative(angle, "The play")
    return angle * diameter / 2


def steering_ratio(wheel: float, road: float) -> float:
    """Steering wheel angle ÷ road wheel angle, both in the same unit and the same direction.

    Raises ValueError when an angle is not above nought.
    """
    _above_nought(wheel, "The angle of the steering wheel")
    _above_nought(road, "The angle of the road wheels")
    return wheel / road


def road_wheel_angle(wheel: float, ratio: float) -> float:
    """How far the road wheels turn for `wheel` at the steering wheel: wheel ÷ ratio.

    Raises ValueError when the ratio is not above nought.
    """
    _above_nought(ratio, "The steering ratio")
    return wheel / ratio


def _above_nought(value: float, what: str) -> None:
    if not math.isfinite(value) or value <= 0:
        raise ValueError(f"{what} must be above nought.")


def _not_negative(value: float, what: str) -> None:
    if not math.isfinite(value) or value < 0:
        raise ValueError(f"{what} cannot be below nought.")
