"""Sold, worked and available hours against each other. Pure.

The trade's words clash: one page calls efficiency what another calls productivity. So each ratio
carries its formula, and nothing is shown without it. Definitions: public pages of the trade for
efficiency; productivity and the overall ratio are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

TENTH = timedelta(minutes=6)
_ONE_PLACE = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Ratio:
    """`share` is exact (1 is 100 %), or None with the reason in `blank`."""

    name: str
    formula: str
    share: Fraction | None
    blank: str = ""

    @property
    def percent(self) -> Decimal | None:
        """To one place, half up."""
        if self.share is None:
            return None
        exact = Decimal(self.share.numerator * 100) / Decimal(self.share.denominator)
        return exact.quantize(_ONE_PLACE, ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Ratios:
    """`overall` is efficiency x productivity, wherever both are there."""

    sold: timedelta
    worked: timedelta
    available: timedelta
    efficiency: Ratio
    productivity: Ratio
    overall: Ratio


def ratios(*, sold: timedelta, worked: timedelta, available: timedelta) -> Ratios:
    """All three from the three times. Raises ValueError for a time below nothing.

    Nothing is made up where the divisor is nothing, and an efficiency without any clocked time
    is none, whatever was sold.
    """
    if min(sold, worked, available) < timedelta():
        raise ValueError("Hours cannot be less than none.")
    no_clock = "" if worked else "nothing was clocked"
    no_shift = "" if available else "no working hours are set"
    return Ratios(
        sold,
        worked,
        available,
        _ratio("efficiency", "sold ÷ worked", sold, worked, no_clock),
        _ratio("productivity", "worked ÷ available", worked, available, no_shift),
        _ratio("overall", "sold ÷ available", sold, available, no_shift),
    )


def share_out(tenths: int, weights: Mapping[int, timedelta]) -> dict[int, int]:
    """Whole tenths shared out by weight, and none lost: the largest remainders get what is left.

    Ties go to the lower key; weights of nothing at all get nothing. Raises ValueError when there
    is no weight to go by.
    """
    seconds = {key: weight // timedelta(seconds=1) for key, weight in weights.items()}
    whole = sum(seconds.values())
    if whole <= 0 or min(seconds.values()) < 0:
        raise ValueError("There is no time to share by.")
    shares = {key: tenths * weight // whole for key, weight in seconds.items()}
    left = tenths - sum(shares.values())
    order = sorted(seconds, key=lambda key: (-(tenths * seconds[key] % whole), key))
    for key in order[:left]:
        shares[key] += 1
    return shares


def hours_of(time: timedelta) -> Decimal:
    """Hours to two places, half up, for reading; ratios are worked out before any rounding."""
    exact = Decimal(time // timedelta(seconds=1)) / Decimal(3600)
    return exact.quantize(Decimal("0.01"), ROUND_HALF_UP)


def _ratio(name: str, formula: str, over: timedelta, under: timedelta, blank: str) -> Ratio:
    if blank:
        return Ratio(name, formula, None, blank)
    micro = timedelta(microseconds=1)
    return Ratio(name, formula, Fraction(over // micro, under // micro))
