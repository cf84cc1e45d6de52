"""Electrical quantities. Pure."""

from __future__ import annotations

import math

# Annealed copper, per kelvin at 20 °C: IEC 60028.
COPPER_PER_KELVIN = 0.00393
REFERENCE_CELSIUS = 20.0

# Where the straight-line law is good for a winding on a vehicle.
COLDEST_CELSIUS = -60.0
HOTTEST_CELSIUS = 200.0


def resistance_at_20c(ohms: float, celsius: float) -> float:
    """What a copper winding that measures `ohms` at `celsius` would measure at 20 °C.

    R20 = R / (1 + 0.00393 (T - 20)), IEC 60028. `ohms` in ohm, not negative; `celsius` in
    degrees Celsius from -60 to 200. Raises ValueError with a sentence outside these, and for
    nan or infinities. Only for copper: an electronic (two-wire current) sensor has no winding
    to correct.
    """
    if not math.isfinite(ohms) or ohms < 0:
        raise ValueError("A resistance is a number of ohms that is not below zero.")
    # nan fails this comparison too.
    if not COLDEST_CELSIUS <= celsius <= HOTTEST_CELSIUS:
        raise ValueError(
            f"A winding's temperature must lie between {COLDEST_CELSIUS:g} and "
            f"{HOTTEST_CELSIUS:g} °C for the correction to hold."
        )
    return ohms / (1 + COPPER_PER_KELVIN * (celsius - REFERENCE_CELSIUS))
