"""The figure a meter shows in the demo: inside a limit or outside it, as the story goes."""

from __future__ import annotations

from random import Random

from diagnostics.compute.electrics import COPPER_PER_KELVIN
from diagnostics.models import Limit, Quantity
from diagnostics.services.runs import Measured
from shop import units
from shop.units import Kind

WITHIN, HIGH, LOW, OVER_RANGE = "within", "high", "low", "OL"
_REFERENCE_C = 20.0


def figure(quantity: Quantity, limit: Limit | None, wish: str, rng: Random) -> Measured:
    """What is typed: `wish` is within, high, low, OL, or a value with its unit ("412 mV")."""
    engine = limit.engine if limit else ""
    celsius = rng.randrange(14, 25) if limit and limit.reference_k is not None else None
    temperature = str(celsius) if celsius is not None else ""
    if wish == OVER_RANGE:
        return Measured(OVER_RANGE, quantity.unit, temperature=temperature, engine=engine)
    if wish not in (WITHIN, HIGH, LOW):
        value, _, unit = wish.partition(" ")
        return Measured(value, unit, temperature=temperature, engine=engine)
    if limit is None:
        raise LookupError(f"{quantity} has no limit here; the demo's files must give the figure")
    shown = _draw(quantity, limit, wish, rng)
    if celsius is not None and limit.corrects_for_copper:
        shown *= 1 + COPPER_PER_KELVIN * (celsius - _REFERENCE_C)
    return Measured(_typed(shown, quantity), quantity.unit, temperature=temperature, engine=engine)


def _draw(quantity: Quantity, limit: Limit, wish: str, rng: Random) -> float:
    """A value in the quantity's usual unit."""
    low = None if limit.low is None else units.from_si(limit.low, quantity.unit)
    high = None if limit.high is None else units.from_si(limit.high, quantity.unit)
    if wish == WITHIN:
        return _inside(low, high, quantity, rng)
    if wish == HIGH:
        if high is None:
            raise LookupError(f"{quantity} has no upper limit")
        return high * rng.uniform(1.4, 2.2)
    if low is None:
        raise LookupError(f"{quantity} has no lower limit")
    return low * (
        rng.uniform(0.8, 0.88) if quantity.kind == Kind.VOLTAGE else rng.uniform(0.4, 0.7)
    )


def _inside(low: float | None, high: float | None, quantity: Quantity, rng: Random) -> float:
    if low is not None and high is not None:
        return low + (high - low) * rng.uniform(0.35, 0.65)
    if high is not None:
        return high * rng.uniform(0.2, 0.55)
    assert low is not None  # a limit has a side
    # A supply voltage stands a little above its least; most other figures well above.
    return low * (
        rng.uniform(1.02, 1.04) if low > 5 and _is_supply(quantity) else rng.uniform(1.4, 1.8)
    )


def _is_supply(quantity: Quantity) -> bool:
    return quantity.kind == Kind.VOLTAGE and quantity.unit == "V"


def _typed(value: float, quantity: Quantity) -> str:
    """As a meter shows it: three or four figures."""
    if quantity.kind == Kind.COUNT:
        return str(round(value))
    size = abs(value)
    decimals = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 0.5 else 3
    return f"{value:.{decimals}f}"
