"""Whatever is typed into an electrical or hydraulic measurement gives an outcome or a reason."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics.compute.verdict import Limit
from diagnostics.measurements import electrics, hydraulics
from diagnostics.measurements.fields import Choice, Column, FieldOf, Grid, Number, Tick
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Outcome
from diagnostics.measurements.reading_in import SURE, InputErrors, read_typed
from shop.charting import Band, Bars, Dots, Level, Line
from shop.units import from_si

KINDS = (*electrics.KINDS, *hydraulics.KINDS)
MOST_POINTS = 1500


@st.composite
def texts(draw: st.DrawFn, field: Column) -> str:
    """What may be typed into one box: nothing, an end of what can be, or something between."""
    if isinstance(field, Choice):
        keys = [key for key, _words in field.options]
        return draw(st.sampled_from(keys if field.required else ["", *keys]))
    assert isinstance(field, Number)
    assert field.lowest is not None
    assert field.highest is not None
    if not field.required and draw(st.integers(0, 2)) == 0:
        return ""
    low, high = from_si(field.lowest, field.unit), from_si(field.highest, field.unit)
    usual = field.usual or (field.lowest, min(field.highest, 100 * max(field.lowest, 1.0)))
    near = [min(max(from_si(one, field.unit), low), high) for one in usual]
    number = draw(st.one_of(st.sampled_from([low, high]), st.floats(low, high), st.floats(*near)))
    return f"{number:.17f}"


@st.composite
def typed(draw: st.DrawFn, fields: tuple[FieldOf, ...]) -> dict[str, str]:
    found = {SURE: "on"}
    for field in fields:
        if isinstance(field, Tick):
            found[field.name] = draw(st.sampled_from(["", "on"]))
        elif isinstance(field, Grid):
            rows = draw(st.integers(field.least, min(4, len(field.rows))))
            for key, _label in field.rows[:rows]:
                for column in field.columns:
                    found[f"{field.name}-{key}-{column.name}"] = draw(texts(column))
        else:
            assert isinstance(field, Number | Choice)
            found[field.name] = draw(texts(field))
    # Times in order, or hardly a series would be one.
    times = [name for name in found if name.endswith("-time")]
    rising = sorted((found[name] for name in times), key=float)
    return found | dict(zip(times, rising, strict=True))


def _numbers(outcome: Outcome) -> list[float]:
    """Every number of the charts; a chart that has too many points is refused here."""
    found: list[float] = []
    for chart in outcome.charts:
        assert chart.layers
        for layer in chart.layers:
            match layer:
                case Line() | Dots() | Band():
                    assert 1 <= len(layer.points) <= MOST_POINTS
                    found += [number for point in layer.points for number in point]
                case Bars():
                    assert layer.bars
                    assert len(layer.roles) in (0, len(layer.bars))
                    found += [number for _label, number in layer.bars]
                case Level():
                    found.append(layer.at)
    return found


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.data_too_large])
@given(data=st.data())
def test_it_answers_or_says_why_not(kind: MeasurementKind, data: st.DataObject) -> None:
    limits = {
        quantity.key: KnownLimit(Limit(None, 1.0, quantity.unit, 0.01), "demo")
        for quantity in kind.quantities
        if data.draw(st.booleans())
    }
    filled = data.draw(typed(kind.fields))
    names = {field.name for field in kind.fields}
    try:
        outcome = kind.work_out(read_typed(kind.fields, filled), Known(limits=limits))
    except InputErrors as errors:
        assert errors.errors
        return
    except InputError as error:
        assert error.field in names
        assert error.sentence.endswith((".", "?"))
        return

    assert outcome_of(outcome_text(outcome)) == outcome
    assert outcome.says.endswith(".")
    assert all(math.isfinite(number) for number in _numbers(outcome))
    assert all(one.says.endswith((".", "?")) for one in outcome.findings)
    declared = {quantity.key: quantity for quantity in kind.quantities}
    for figure in outcome.figures:
        assert declared[figure.quantity].unit == figure.unit or not figure.keep
