"""Whether what a term of coverage names is there, and its distance is one. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.catalogue.book import Book, Placed
from diagnostics.catalogue.figures import difference, si
from diagnostics.catalogue.naming import known
from diagnostics.catalogue.problems import Problem, Wrong, instead
from diagnostics.catalogue.schema import CoverageEntry
from shop import units


def check_coverage(book: Book) -> Iterator[Problem]:
    """Every problem of the terms, in the order in which they are written."""
    for placed in book.coverage.values():
        term = placed.entry
        for index, key in enumerate(term.systems):
            yield from known(placed, ("systems", index), key, book.systems, "system")
        for name in ("components", "left_out"):
            for index, key in enumerate(getattr(term, name)):
                yield from known(placed, (name, index), key, book.components, "component")
        yield from _check_failure_modes(book, placed)
        yield from _check_distance(placed)


def _check_failure_modes(book: Book, placed: Placed[CoverageEntry]) -> Iterator[Problem]:
    modes = {
        mode
        for key in placed.entry.components
        if key in book.components
        for mode in book.components[key].entry.failure_modes
    }
    for index, key in enumerate(placed.entry.failure_modes):
        if key not in modes:
            wrong = f"none of the components fails by {key}"
            yield placed.problem(("failure_modes", index), wrong, instead(key, modes, "failure"))


def _check_distance(placed: Placed[CoverageEntry]) -> Iterator[Problem]:
    given = placed.entry.distance
    if given is None:
        return
    try:
        difference(given, units.Kind.LENGTH)
        metres = si(given, units.Kind.LENGTH)
    except Wrong as wrong:
        yield placed.problem(("distance",), wrong.wrong, wrong.right)
        return
    if metres <= 0:
        yield placed.problem(("distance",), f"{given} is no distance", "write it as 60000 km")
