"""Measurements of discs and brakes as they are typed, and what their outcomes say."""

from __future__ import annotations

import math

from diagnostics.compute.verdict import Limit
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from shop.charting import Chart

Typed = dict[str, str]


def worked(kind: MeasurementKind, typed: Typed, known: Known | None = None) -> Outcome:
    """The outcome; it can be kept, names only the kind's quantities, and draws what is there."""
    found = kind.work_out(read_typed(kind.fields, typed), known or Known())
    assert outcome_of(outcome_text(found)) == found
    assert {figure.quantity for figure in found.figures} <= {q.key for q in kind.quantities}
    assert found.sources
    for chart in found.charts:
        _look_at(chart)
    return found


def refusal(kind: MeasurementKind, typed: Typed, known: Known | None = None) -> dict[str, str]:
    """The sentences by field with which it is refused."""
    try:
        worked(kind, typed, known)
    except InputErrors as errors:
        return errors.errors
    except InputError as error:
        return {error.field: error.sentence}
    raise AssertionError("It was not refused.")


def series(name: str, texts: str) -> Typed:
    return {f"{name}-{number}": text for number, text in enumerate(texts.split(), 1)}


def wave(name: str, millimetres: float, degrees: float, count: int = 12) -> Typed:
    """Dial readings of a face that leans, to a hundredth of a micrometre."""
    turn = [2 * math.pi * step / count - math.radians(degrees) for step in range(count)]
    return series(name, " ".join(f"{millimetres * math.cos(angle):.5f}" for angle in turn))


def at_most(high: float, unit: str, uncertainty: float = 0.0) -> KnownLimit:
    return KnownLimit(Limit(None, high, unit, uncertainty=uncertainty), "demo figure")


def at_least(low: float, unit: str) -> KnownLimit:
    return KnownLimit(Limit(low, None, unit), "demo figure")


def figure(outcome: Outcome, quantity: str, position: str = "") -> Figure:
    (found,) = [
        one for one in outcome.figures if (one.quantity, one.position) == (quantity, position)
    ]
    return found


def says(outcome: Outcome) -> str:
    parts = [outcome.says, *(one.says for one in outcome.findings), *outcome.notes]
    return " ".join(parts).replace("\u00a0", " ").replace("\u202f", " ")


def tones(outcome: Outcome) -> list[str]:
    return [one.tone for one in outcome.findings]


def _look_at(chart: Chart) -> None:
    assert chart.says.endswith(".")
    for layer in chart.layers:
        if layer.kind in {"line", "dots", "band"}:
            assert layer.points, layer.name
            assert all(math.isfinite(one) for point in layer.points for one in point)
