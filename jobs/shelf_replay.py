"""What a shelf would have done for the customers who really came. Pure.

Each piece taken is ordered again the same day and comes `lead_days` later; who finds none waits
for the next piece that is not somebody else's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Replayed:
    """`waits` in days, one for each piece wanted, in the order of the days; 0 for none."""

    waits: tuple[float, ...]

    @property
    def wanted(self) -> int:
        return len(self.waits)

    @property
    def waited(self) -> int:
        return sum(1 for days in self.waits if days > 0)

    @property
    def days(self) -> float:
        return sum(self.waits)


def replay(demand_days: Sequence[float], level: int, lead_days: float) -> Replayed:
    """The waits had `level` pieces lain there before the first of these days.

    With `level` pieces in the round, the n-th piece wanted is the one that was ordered for the
    (n - level)-th, and waits until it comes. A piece that comes the same day is no wait.
    Raises ValueError for a level or a lead time below nought.
    """
    if level < 0 or lead_days < 0:
        raise ValueError("A level and a lead time are not below nought.")
    days = sorted(demand_days)
    return Replayed(
        tuple(
            0.0 if n < level else max(0.0, days[n - level] + lead_days - day)
            for n, day in enumerate(days)
        )
    )
