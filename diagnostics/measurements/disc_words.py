"""What the measurements of discs say alike: cautions, sources and how a length is written. Pure."""

from __future__ import annotations

import math

from shop.units import format_number, format_value

CAUTIONS = (
    (
        "Lift only at the vehicle maker’s points and within the rated load, and see that the "
        "vehicle sits firmly before you reach in."
    ),
    (
        "Treat brake dust as harmful: wet it first and wipe it up, or use a HEPA vacuum. No air "
        "line, no dry brush."
    ),
    (
        "Key off and away. Let an electric parking brake or a unit that stores pressure go the "
        "vehicle maker’s way before a caliper is moved, and hang the caliper so that its hose "
        "carries nothing."
    ),
    (
        "Turn the disc by hand only. Afterwards pump the pedal until it is firm, and tighten the "
        "nuts with a torque wrench to the vehicle maker’s figure."
    ),
)
HOW_TO_DIAL = (
    "Points evenly spaced over one whole turn, counted from the start mark; the dial about 10 mm "
    "from the disc’s edge. A rising reading means that the face comes towards the dial."
)
RUN_OUT_SOURCE = (
    "Run-out as highest less lowest of at least eight readings, and usual figures (0.05 mm for "
    "cars): public trade page, read."
)
FIT_SOURCE = "One sine per turn: first term of the discrete Fourier transform (mathematics)."
REMEDY_SOURCE = (
    "Clean first, then try another bolt position: makers’ pages in public archives, read."
)
USUAL_DIAL = 5e-6
"""Expanded uncertainty of a dial on a firm stand, metres: common practice, no source."""
FIRST_REMEDY = (
    "First clean rust off the hub flange and the inside of the disc, see that the bearing has no "
    "play, hold the disc down with all its nuts, and measure again. If it stays, try the disc on "
    "another bolt position; “Disc and hub together” works out which."
)


def mm(metres: float) -> str:
    """A length in metres as millimetres with three places."""
    return format_value(metres, "mm", decimals=3)


def degrees(radians: float) -> str:
    """An angle in radians as whole degrees, 0° to 359°."""
    # 359.6° is written 0°, not 360°.
    return format_value(math.radians(round(math.degrees(radians)) % 360), "deg", decimals=0)


def whole_turn(count: int) -> list[float]:
    """`count` steps of a turn in degrees, the end as well as the start."""
    return [360 * step / count for step in range(count + 1)]


def turned_by(step: int, bolts: int) -> str:
    """A bolt position in words, the shorter way round: "2 bolts on", "1 bolt back"."""
    if step == 0:
        return "as it is"
    back = 2 * step > bolts
    count = bolts - step if back else step
    way = "back" if back else "on"
    return f"{format_number(count)} bolt{'s' if count > 1 else ''} {way}"
