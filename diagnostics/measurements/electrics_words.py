"""What the electrical measurements say alike: cautions, sources, how a value is written. Pure."""

from __future__ import annotations

from diagnostics.measurements.fields import Choice, Number
from shop.units import Kind, format_value, from_si, to_si

NO_SQUIB = (
    "Never put an ohmmeter or a test lamp on an airbag or belt-tensioner circuit: it can fire. "
    "Before a plug near the steering column is opened, take the battery’s negative off and wait "
    "as long as the vehicle maker says."
)
POWER_OFF = (
    "Resistance is measured with the key off and the plug off. With current in the circuit the "
    "number means nothing, and the meter may be damaged."
)
LIVE = (
    "Keep leads and sleeves away from fans, belts and hot parts while the engine or a pump runs. "
    "A lead that slips from the positive side to the body is a short."
)
BRAKES_MAY_WORK = (
    "A load that is switched on may build brake pressure or move a valve. Nobody has a hand at "
    "the brakes meanwhile, and a unit that stores pressure is discharged the vehicle maker’s way "
    "before anything is opened."
)
BATTERY_GAS = (
    "A battery gives off gas that burns: no sparks or flames, glasses on. Never charge or "
    "jump-start one that is frozen, cracked or swollen."
)
IEC_60028 = "Copper changes by 0.00393 per kelvin from 20 °C: IEC 60028, read in a page naming it."
OHM = "R = U / I and P = U I: Ohm’s and Joule’s laws."

CURRENT = Number(
    "current",
    "Current at the same time",
    Kind.CURRENT,
    "A",
    required=False,
    help="By a clamp or in line. Gives the resistance of the place and the power lost in it.",
    lowest=1e-6,
    highest=2000.0,
)
LOAD = Choice(
    "load",
    "Load while measured",
    (("on", "The circuit’s own load was on"), ("off", "No load, or not known")),
    help="Without current even a burnt joint loses nothing.",
)
COLDEST, HOTTEST = to_si(-60, "degC"), to_si(200, "degC")


def celsius(kelvin: float) -> float:
    """Kelvin as degrees Celsius."""
    return from_si(kelvin, "degC")


def degrees(kelvin: float) -> str:
    """Kelvin written in degrees Celsius."""
    return format_value(kelvin, "degC")


def volts(value: float) -> str:
    """Volts from half a volt up, millivolts below: as a meter shows them."""
    if abs(value) >= 0.5:
        return format_value(value, "V", decimals=2)
    return format_value(value, "mV", digits=3 if abs(value) >= 0.1 else 2)


def amps(value: float) -> str:
    """Amperes, as milliamperes below half an ampere."""
    return format_value(value, "mA" if abs(value) < 0.5 else "A", digits=3)


def ohms(value: float) -> str:
    """Ohms, as kilohms or milliohms where a meter would show those."""
    if abs(value) >= 1000:
        return format_value(value, "kohm")
    return format_value(value, "ohm" if abs(value) >= 0.5 else "mohm")


def watts(value: float) -> str:
    """Watts to two figures, as milliwatts below a tenth."""
    return format_value(value, "W" if abs(value) >= 0.1 else "mW", digits=2)


def percent(share: float, decimals: int = 0) -> str:
    """A ratio written in per cent."""
    return format_value(share, "%", decimals=decimals)
