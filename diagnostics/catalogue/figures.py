"""Amounts of a catalogue as SI numbers, checked against the kind of their quantity. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from diagnostics.catalogue.fields import Allowed, Amount
from diagnostics.catalogue.problems import Wrong, nearest
from diagnostics.catalogue.schema import LimitEntry
from shop import units

_SHORT_TEMPERATURES = {"C": "degC", "F": "degF"}


@dataclass(frozen=True)
class LimitFigures:
    """A limit's numbers in SI (temperatures in kelvin); the units are those written."""

    low: float | None
    high: float | None
    unit: str
    reference_k: float | None
    uncertainty: float | None
    near_margin: float | None
    pressure_low: float | None
    pressure_high: float | None
    pressure_unit: str


def si(given: Amount, kind: str, default_unit: str = "") -> float:
    """The amount in the SI-coherent unit of its kind. Raises Wrong for a unit of another kind."""
    value = units.to_si(float(given.number), unit_key(given.unit or default_unit, kind))
    if kind == units.Kind.TEMPERATURE and value < 0:
        raise Wrong(f"{given} is colder than anything can be", "look at the number and its unit")
    return value


def difference(given: Amount, kind: str, default_unit: str = "") -> float:
    """The amount as a width (an uncertainty, a margin) in SI; never below zero. Raises Wrong."""
    if given.number < 0:
        raise Wrong(f"{given} is below zero", "write how wide it is, without a sign")
    key = unit_key(given.unit or default_unit, kind)
    return units.to_si(float(given.number), key) - units.to_si(0.0, key)


def unit_key(text: str, kind: str) -> str:
    """The canonical key of a unit that must be of a kind. Raises Wrong."""
    if kind == units.Kind.TEMPERATURE:
        text = _SHORT_TEMPERATURES.get(text, text)
    fitting = [str(name) for name in units.units_of(units.Kind(kind))]
    right = f"units of {kind} are: {', '.join(fitting)}"
    if not text:
        raise Wrong("the unit is missing", right)
    try:
        found = units.unit(text)
    except units.UnitError:
        near = nearest(text, fitting)
        raise Wrong(f"{text} is no unit", f"did you mean {near}?" if near else right) from None
    if found.kind != kind:
        raise Wrong(f"{text} is a unit of {found.kind}, not of {kind}", right)
    return str(found.key)


def limit_figures(limit: LimitEntry, kind: str) -> LimitFigures:
    """A limit as numbers. Raises Wrong: a unit that does not fit, or low above high."""
    shown = _written_unit(limit.range, limit.unit)
    with _at("allowed" if limit.allowed else "low" if limit.low else "high"):
        unit = unit_key(shown, kind)
        low, high = _span(limit.range, kind, shown)
    with _at("temperature"):
        at = limit.temperature
        reference = si(at, units.Kind.TEMPERATURE) if at else None
    with _at("tool_uncertainty"):
        uncertainty = _width(limit.tool_uncertainty, kind, shown)
    with _at("near_margin"):
        near_margin = _width(limit.near_margin, kind, shown)
    with _at("pressure"):
        pressure = _pressure(limit.pressure)
    return LimitFigures(low, high, unit, reference, uncertainty, near_margin, *pressure)


def _pressure(span: Allowed | None) -> tuple[float | None, float | None, str]:
    """The pressure under which a limit holds, Pa, and the unit it is written in."""
    if span is None:
        return None, None, ""
    shown = _written_unit(span)
    unit = unit_key(shown, units.Kind.PRESSURE)
    return *_span(span, units.Kind.PRESSURE, shown), unit


def _written_unit(span: Allowed, unit: str = "") -> str:
    return unit or next((side.unit for side in (span.high, span.low) if side and side.unit), "")


def _span(span: Allowed, kind: str, unit: str) -> tuple[float | None, float | None]:
    low = si(span.low, kind, unit) if span.low else None
    high = si(span.high, kind, unit) if span.high else None
    if low is not None and high is not None and low > high:
        wrong = f"the low side ({span.low}) is above the high side ({span.high})"
        raise Wrong(wrong, "exchange them")
    return low, high


def _width(given: Amount | None, kind: str, unit: str) -> float | None:
    return None if given is None else difference(given, kind, unit)


@contextmanager
def _at(name: str) -> Iterator[None]:
    """What goes wrong inside is said of the field `name`."""
    try:
        yield
    except Wrong as wrong:
        raise Wrong(wrong.wrong, wrong.right, at=name) from None
