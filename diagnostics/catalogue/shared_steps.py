"""Whether the steps that operations share are there, and fit into their time. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.naming import known
from diagnostics.catalogue.problems import Path, Problem


def check_shared_steps(book: Book) -> Iterator[Problem]:
    """A step must lie in each operation that it names, together with the operation's others."""
    inside: Counter[str] = Counter()
    for placed in book.shared_steps.values():
        step = placed.entry
        for index, code in enumerate(step.operations):
            at: Path = ("operations", index)
            yield from known(placed, at, code, book.labour, "operation")
            if code not in book.labour:
                continue
            operation = book.labour[code].entry
            inside[code] += step.hours
            if operation.diagnosis:
                wrong = f"{code} is diagnosis, which stands on its own line and shares nothing"
                yield placed.problem(at, wrong, f"take {code} out")
            elif step.hours > operation.hours:
                whole = _hours(operation.hours)
                wrong = f"the step takes {_hours(step.hours)} h, all of {code} {whole} h"
                yield placed.problem(at, wrong, f"shorten the step, or take {code} out")
            elif inside[code] > operation.hours:
                wrong = (
                    f"with this step the shared steps of {code} take {_hours(inside[code])} h, "
                    f"all of it {_hours(operation.hours)} h"
                )
                yield placed.problem(at, wrong, f"shorten one of them, or take {code} out")


def _hours(tenths: int) -> str:
    return f"{tenths // 10}.{tenths % 10}"
