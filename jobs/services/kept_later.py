"""When what follows from the jobs is worked out: with each act, or for many jobs together.

Lives of units, repairs and proposals of returns are kept with the act that bears on them. Whoever
lives through years of jobs at one go puts that off, and rebuilds the workshop once at the end
(jobs.services.rebuilt).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_put_off: ContextVar[bool] = ContextVar("put_off", default=False)


def put_off() -> bool:
    """Whether it is worked out later, for this thread of work."""
    return _put_off.get()


@contextmanager
def later(yes: bool = True) -> Iterator[None]:
    """Within the block nothing is worked out; with `yes` False it is, inside of such a block."""
    token = _put_off.set(yes)
    try:
        yield
    finally:
        _put_off.reset(token)
