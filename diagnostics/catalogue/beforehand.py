"""A platform's figures and curves as SI numbers, checked against their kinds. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.catalogue.book import Book, Placed
from diagnostics.catalogue.fields import amount
from diagnostics.catalogue.figure_keys import AGAINST, FIGURES
from diagnostics.catalogue.figures import difference, si, unit_key
from diagnostics.catalogue.naming import fitting, known
from diagnostics.catalogue.problems import Path, Problem, Wrong, instead
from diagnostics.catalogue.schema import CurveEntry, FigureEntry
from shop import units


@dataclass(frozen=True)
class FigureNumber:
    """A figure in SI with the unit written; or its words, and then no number."""

    value: float | None
    unit: str
    words: str


def figure_number(entry: FigureEntry) -> FigureNumber:
    """What a figure says. Its key must be known. Raises Wrong: a value that does not fit it."""
    key = FIGURES[entry.figure]
    if key.kind is None:
        if entry.value not in key.words:
            right = instead(entry.value, key.words, "value")
            raise Wrong(f"{entry.value} is no {key.name.lower()}", right)
        return FigureNumber(None, "", entry.value)
    given = amount(entry.value)
    if not given.unit and not key.plain:
        fitting_units = ", ".join(units.units_of(key.kind))
        raise Wrong("the unit is missing", f"units of {key.kind} are: {fitting_units}")
    unit = unit_key(given.unit or key.plain, key.kind)
    value = si(given, key.kind, key.plain)
    if value <= 0 and not key.signed:
        raise Wrong(f"{entry.value} cannot be", "this figure is above nought")
    if key.most is not None and value > key.most:
        most = units.format_value(key.most, unit, digits=3)
        raise Wrong(f"{entry.value} cannot be", f"this figure is at most {most}")
    if key.whole and value != int(value):
        raise Wrong(f"{entry.value} is not a whole number", "write digits only")
    return FigureNumber(value, unit, "")


@dataclass(frozen=True)
class CurveNumbers:
    """A curve in SI: points (x, y) from left to right, the tolerance, and the units written."""

    points: tuple[tuple[float, float], ...]
    tolerance: float
    unit: str
    against_unit: str


def curve_numbers(entry: CurveEntry, kind: str) -> CurveNumbers:
    """A curve of a quantity of `kind`. Raises Wrong for a unit or a number that does not fit."""
    against = AGAINST[entry.against].kind
    pairs = [(amount(x), amount(y)) for x, y in entry.points.items()]
    first_x, first_y = pairs[0]
    points = sorted((si(x, against), si(y, kind)) for x, y in pairs)
    return CurveNumbers(
        points=tuple(points),
        tolerance=difference(entry.tolerance, kind, first_y.unit),
        unit=unit_key(first_y.unit, kind),
        against_unit=unit_key(first_x.unit, against),
    )


def check_beforehand(book: Book) -> Iterator[Problem]:
    """Every problem of the sections `figures` and `curves`."""
    yield from _check_figures(book)
    for placed in book.curves.values():
        yield from _check_curve(book, placed)


def _check_figures(book: Book) -> Iterator[Problem]:
    seen: set[tuple[str, Path]] = set()
    for placed in book.figures.values():
        if (placed.source.name, placed.path) in seen:
            continue
        seen.add((placed.source.name, placed.path))
        entry = placed.entry
        yield from known(placed, ("figure",), entry.figure, FIGURES, "figure")
        yield from known(placed, ("component",), entry.component, book.components, "component")
        yield from fitting(book, placed, ("positions",), entry.component, entry.positions)
        if entry.figure in FIGURES:
            try:
                figure_number(entry)
            except Wrong as wrong:
                yield placed.problem(("value",), wrong.wrong, wrong.right)


def _check_curve(book: Book, placed: Placed[CurveEntry]) -> Iterator[Problem]:
    entry = placed.entry
    yield from known(placed, ("quantity",), entry.quantity, book.measurable, "quantity")
    yield from known(placed, ("component",), entry.component, book.components, "component")
    yield from known(placed, ("against",), entry.against, AGAINST, "quantity for a curve")
    kind = book.measurable.get(entry.quantity)
    if kind not in list(units.Kind) or entry.against not in AGAINST:
        return
    assert kind is not None
    broken = list(_check_points(placed, AGAINST[entry.against].kind, kind))
    yield from broken
    if broken:
        return
    try:
        curve_numbers(entry, kind)
    except Wrong as wrong:
        yield placed.problem(("tolerance",), wrong.wrong, wrong.right)


def _check_points(placed: Placed[CurveEntry], against: units.Kind, kind: str) -> Iterator[Problem]:
    seen: dict[float, str] = {}
    for written, value in placed.entry.points.items():
        at: Path = ("points", written)
        try:
            x = si(amount(written), against)
            si(amount(value), kind)
        except Wrong as wrong:
            yield placed.problem(at, wrong.wrong, wrong.right)
            continue
        twin = next((name for other, name in seen.items() if math.isclose(other, x)), None)
        if twin is not None:
            yield placed.problem(at, f"{written} is the same place as {twin}", "keep one of them")
        seen[x] = written
