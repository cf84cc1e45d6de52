"""What an odometer soundly says of a vehicle: until it goes backwards. Pure.

Rule (common practice, no source): a reading lower than one before it ends the distance clock of
every unit on the vehicle, whatever the reason was: an instrument may have been changed, or a digit
mistyped. What was read before holds; ages go on.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.lives.rows import Sight

LEAST_DAYS = 30  # between two readings, for how far it goes in a day (statistics: our own advice)
STANDS_STILL = 0


@dataclass(frozen=True, slots=True)
class Odometer:
    """The sound sights in order of days; `broken_day` is that of the first lower reading."""

    sights: tuple[Sight, ...]
    broken_day: int | None

    def sound_on(self, day: int) -> bool:
        return self.broken_day is None or day < self.broken_day

    def by(self, day: int) -> int | None:
        """The last sound distance on or before a day, metres; None before the first sight."""
        at = bisect_right(self.sights, day, key=lambda sight: sight.day)
        return self.sights[at - 1].at_m if at else None

    @property
    def m_a_day(self) -> int | None:
        """How far it goes in a day; nought after it went backwards, None with too few days."""
        if self.broken_day is not None:
            return STANDS_STILL
        first, last = (self.sights[0], self.sights[-1]) if self.sights else (None, None)
        if first is None or last is None or last.day - first.day < LEAST_DAYS:
            return None
        return round((last.at_m - first.at_m) / (last.day - first.day))


def read(sights: Iterable[Sight]) -> Odometer:
    """The sound part of what was read; sights of one day stand in the order of reading."""
    sound: list[Sight] = []
    for sight in sorted(sights, key=lambda one: one.day):
        if sound and sight.at_m < sound[-1].at_m:
            before = tuple(one for one in sound if one.day < sight.day)
            return Odometer(before, sight.day)
        sound.append(sight)
    return Odometer(tuple(sound), None)
