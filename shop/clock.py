"""What time it is. Services and queries ask here, so that a past morning can be lived through."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime

from django.utils import timezone

_set_to: ContextVar[datetime | None] = ContextVar("clock", default=None)


def now() -> datetime:
    return _set_to.get() or timezone.now()


def today() -> date:
    return timezone.localtime(now()).date()


@contextmanager
def at(moment: datetime) -> Iterator[None]:
    """Within the block it is `moment` (aware), for this thread of work only."""
    token = _set_to.set(moment)
    try:
        yield
    finally:
        _set_to.reset(token)
