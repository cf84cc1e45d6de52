"""What computations ask for and what the demo's pages give fit each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from diagnostics.catalogue.beforehand import curve_numbers, figure_number
from diagnostics.catalogue.book import Book
from diagnostics.catalogue.figure_keys import AGAINST, FIGURES
from diagnostics.catalogue.figures import limit_figures
from diagnostics.measurements.fields import Choice, Grid, Number, Words
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.registry import ALL
from shop.units import to_si
from tests.diagnostics.test_procedures import BOOKS

# Filled in from the vehicle or the workshop, not from the platform's pages.
NOT_FIGURES = frozenset({"", "tyre", "brake_rule", "first_used"})
DEMO = [code for code in BOOKS if code != "GEN"]
DUTY = [code for code in DEMO if "assist_duty / any component / road_speed" in BOOKS[code].curves]


def asking(kind: MeasurementKind) -> Iterator[Number | Choice | Words]:
    for field in kind.fields:
        for one in (field, *(field.columns if isinstance(field, Grid) else ())):
            if isinstance(one, Number | Choice | Words) and one.known not in NOT_FIGURES:
                yield one


FIELDS = [
    pytest.param(field, id=f"{kind.key}-{field.name}") for kind in ALL for field in asking(kind)
]


@pytest.mark.parametrize("field", FIELDS)
def test_a_field_is_filled_in_by_a_figure_of_its_own_kind(field: Number | Choice | Words) -> None:
    figure = FIGURES[field.known]
    if isinstance(field, Number):
        assert figure.kind is field.kind
    elif isinstance(field, Choice):
        assert set(figure.words) <= {key for key, _words in field.options}


@pytest.mark.parametrize("code", DEMO)
def test_teeth_are_the_same_in_the_figure_and_in_the_limit(code: str) -> None:
    book = BOOKS[code]
    teeth = figure_number(book.figures["teeth / any component / any position"].entry).value
    limit = limit_figures(book.limits["ring_teeth / any component / any position"].entry, "count")
    assert limit.low == limit.high == teeth


def at(book: Book, quantity: str, kind: str, x: float) -> float:
    placed = book.curves[f"{quantity} / any component / road_speed"]
    points = curve_numbers(placed.entry, kind).points
    left, right = next(pair for pair in pairwise(points) if pair[0][0] <= x <= pair[1][0])
    share = (x - left[0]) / (right[0] - left[0])
    return left[1] + share * (right[1] - left[1])


@pytest.mark.parametrize("code", DUTY)
def test_the_curve_of_the_duty_agrees_with_its_single_limits(code: str) -> None:
    book = BOOKS[code]
    parked, fast = (
        limit_figures(
            book.limits[f"{quantity} / flow_control_actuator / any position"].entry, "ratio"
        )
        for quantity in ("actuator_duty_parked", "actuator_duty_80")
    )
    assert parked.high is not None
    assert fast.low is not None
    assert fast.high is not None
    assert at(book, "assist_duty", "ratio", 0.0) <= parked.high
    assert fast.low < at(book, "assist_duty", "ratio", to_si(80.0, "km/h")) < fast.high


@pytest.mark.parametrize("code", DUTY)
def test_assist_falls_as_speed_rises(code: str) -> None:
    """Common practice, no source: more duty, less flow, never the other way."""
    book = BOOKS[code]
    for quantity, kind, rises in (("assist_duty", "ratio", True), ("assist_flow", "flow", False)):
        placed = book.curves[f"{quantity} / any component / road_speed"]
        values = [y for _x, y in curve_numbers(placed.entry, kind).points]
        assert values == sorted(values, reverse=not rises)
        assert placed.entry.against in AGAINST


def test_the_coupe_alone_has_a_rate_sensor() -> None:
    key = "steering_rate_sensor / any component / any position"
    fitted = {code for code in DEMO if BOOKS[code].figures[key].entry.value == "fitted"}
    assert (
        fitted
        == {"OR1-S"}
        == {code for code in DEMO if "steering_rate_sensor" in BOOKS[code].components}
    )


def test_pages_for_any_other_vehicle_give_no_figure() -> None:
    assert (BOOKS["GEN"].figures, BOOKS["GEN"].curves) == ({}, {})
