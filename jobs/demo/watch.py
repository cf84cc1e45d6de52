"""The watch of somebody in the demo: every act takes its minutes of working time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from jobs.demo import hours
from shop import clock


class Watch:
    """`now` is the moment of the last act; `pace` stretches what a person takes."""

    def __init__(self, now: datetime, *, pace: float = 1.0) -> None:
        self.now = hours.next_open(now)
        self.pace = pace

    @contextmanager
    def spend(self, minutes: float) -> Iterator[None]:
        """The act within happens after so many minutes of work."""
        self.wait(minutes * self.pace)
        with clock.at(self.now):
            yield

    def wait(self, minutes: float) -> None:
        self.now = hours.later(self.now, minutes)
