"""Whether what an entry names is there, and fits where it is said to be. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from diagnostics.catalogue.book import Book, Placed
from diagnostics.catalogue.problems import Path, Problem, instead


def known(
    placed: Placed[Any], at: Path, key: str | None, shelf: Iterable[str], what: str
) -> Iterator[Problem]:
    """A key must be on the shelf."""
    if key is not None and key not in shelf:
        yield placed.problem(at, f"there is no {what} {key}", instead(key, shelf, what))


def fitting(
    book: Book, placed: Placed[Any], at: Path, component: str | None, given: Iterable[str]
) -> Iterator[Problem]:
    """Positions must be among those at which the component is fitted."""
    if component is None or component not in book.components:
        return
    fitted = book.components[component].entry.positions
    for place in given:
        if place and place not in fitted:
            where = f"it is fitted at: {' '.join(fitted)}" if fitted else "it has no position"
            yield placed.problem(at, f"{component} is not fitted at {place}", where)
