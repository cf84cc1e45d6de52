"""Labour that is done together: a step that several operations share is paid once. Pure.

Common practice, no source: for two operations the time is the one plus the other less what they
share, and a total is never less than its longest single operation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """A step inside an operation, in tenths of an hour.

    `place` is "" for a step that is done once a vehicle, or where on the vehicle it is done: a
    wheel that is off on the left is not off on the right.
    """

    key: str
    tenths: int
    place: str = ""


@dataclass(frozen=True, slots=True)
class Operation:
    """A line of labour: what it would take alone, and which steps are in that time."""

    key: int
    tenths: int
    steps: tuple[Step, ...] = ()


def shared(operations: Iterable[Operation]) -> dict[int, int]:
    """Tenths of each operation that another one pays for, by key.

    The longest operation pays in full; of each next one what the longer ones did already is
    taken off, which is never more than the operation itself.

    A step longer than what is left of its operation counts only for that (steps by key), so that
    whatever the input is, the sum of what remains:
    is the sum of all less (k - 1) times each step that k operations contain;
    does not depend on the order of entry; never falls when an operation is added;
    is never less than the longest operation.
    """
    saved: dict[int, int] = {}
    done: dict[tuple[str, str], int] = {}
    for operation in sorted(operations, key=lambda one: (-one.tenths, one.key)):
        contained = _contained(operation)
        saved[operation.key] = sum(
            min(tenths, done.get(step, 0)) for step, tenths in contained.items()
        )
        for step, tenths in contained.items():
            done[step] = max(tenths, done.get(step, 0))
    return saved


def total(operations: Iterable[Operation]) -> int:
    """Tenths of an hour that all of them take together."""
    rows = tuple(operations)
    return sum(one.tenths for one in rows) - sum(shared(rows).values())


def _contained(operation: Operation) -> Mapping[tuple[str, str], int]:
    """How much of each step lies in the operation's time; together never more than that."""
    left = max(0, operation.tenths)
    contained: dict[tuple[str, str], int] = {}
    for step in sorted(set(operation.steps), key=lambda one: (one.key, one.place, -one.tenths)):
        if (step.key, step.place) in contained:
            continue
        contained[step.key, step.place] = min(max(0, step.tenths), left)
        left -= contained[step.key, step.place]
    return contained
