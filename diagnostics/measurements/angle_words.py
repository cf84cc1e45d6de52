"""Small angles as the trade writes them: signed, in degrees, in degrees and minutes. Pure."""

from __future__ import annotations

from diagnostics.compute.alignment import degrees_minutes
from shop.units import MINUS_SIGN, format_number, from_si, to_si

CLEAN_DECIMALS = 9


def clean(angle: float) -> float:
    """The angle that a person typing it in degrees would have stored: a sum or difference then
    stands exactly on a limit where it should."""
    return to_si(round(from_si(angle, "deg"), CLEAN_DECIMALS), "deg")


def signed(angle: float, *, decimals: int = 2) -> str:
    """+0.15°, −0.07°, 0.00°."""
    text = format_number(from_si(angle, "deg"), decimals=decimals)
    plus = "+" if not text.startswith(MINUS_SIGN) and any(c in "123456789" for c in text) else ""
    return f"{plus}{text}°"


def in_minutes(angle: float) -> str:
    """0°09′, −1°20′."""
    found = degrees_minutes(angle)
    return f"{MINUS_SIGN if found.negative else ''}{found.degrees}°{found.minutes:02d}′"


def both(angle: float) -> str:
    """+0.15° (0°09′)."""
    return f"{signed(angle)} ({in_minutes(angle)})"
