"""What the hydraulic measurements say alike: cautions, sources, how a value is written. Pure."""

from __future__ import annotations

from diagnostics.measurements.fields import Number
from diagnostics.measurements.outcome import Finding
from shop.units import Kind, format_value, from_si, to_si

PUMP_CAUTIONS = (
    (
        "Gauge valve closed for 5 seconds at most, then open for a minute: longer ruins the pump. "
        "(One maker’s pages allow 5 s, two others 15 s. Where the vehicle maker says less, that "
        "counts.)"
    ),
    "Never hold the steering at its stop. Never drive with the gauge fitted.",
    (
        "Fluid is hot and under more than 50 bar: a jet goes through skin. Glasses and gloves, no "
        "hand near a joint under pressure, and hands off belt and fan."
    ),
)
BRAKE_CAUTIONS = (
    (
        "Before a line is opened, discharge a unit that stores pressure the vehicle maker’s way "
        "(commonly 20 to 40 firm strokes, ignition off, until the pedal is hard). Some build "
        "pressure by themselves when a door opens or a key comes near."
    ),
    (
        "Brake fluid hurts eyes and strips paint: glasses on, flush with water. Use a gauge made "
        "for the pressure and for this fluid."
    ),
    (
        "Bleed every place that was opened, and see a firm pedal and no leak under full force "
        "before the car is moved, first at walking pace."
    ),
)
PUMP_TEST_SOURCE = (
    "Valve closed 5 s (one maker) or 15 s (two makers), fluid at 50 to 60 °C, 1000 to 1500 "
    "rev/min where the vehicle maker does not say idle: makers’ pages in public archives, read."
)
USUAL_SOURCE = "Cars: relief at 55 to 130 bar, 5 to 10 l/min: common practice, no source."

FLUID = Number(
    "fluid",
    "Temperature of the fluid",
    Kind.TEMPERATURE,
    "degC",
    required=False,
    help="In the reservoir, 50 to 60 °C for this test.",
    lowest=to_si(-40, "degC"),
    highest=to_si(200, "degC"),
)


def bar(pascals: float, decimals: int = 1) -> str:
    """Pascals written in bar."""
    return format_value(pascals, "bar", decimals=decimals)


def litres(flow: float) -> str:
    """Cubic metres a second written in litres a minute."""
    return format_value(flow, "l/min", decimals=2)


def percent(share: float, decimals: int = 1) -> str:
    """A ratio written in per cent."""
    return format_value(share, "%", decimals=decimals)


def power(watts: float) -> str:
    """Watts written in kilowatts, with horsepower beside."""
    return f"{format_value(watts, 'kW', decimals=3)} ({format_value(watts, 'hp', decimals=2)})"


def warm_enough(kelvin: float | None, low: float, high: float) -> Finding | None:
    """What the fluid's temperature does to a pump test; None when it is right."""
    if kelvin is None:
        return Finding(
            "unknown",
            f"The fluid’s temperature was not noted. Cold fluid reads high: warm it to {low:g} to "
            f"{high:g} °C.",
        )
    celsius = from_si(kelvin, "degC")
    if low <= celsius <= high:
        return None
    way = "Colder fluid reads high" if celsius < low else "Hotter fluid reads low"
    return Finding(
        "unknown",
        f"The fluid was at {format_value(kelvin, 'degC')}, and the test asks for {low:g} to "
        f"{high:g} °C. {way}: bring it there and measure again.",
    )
