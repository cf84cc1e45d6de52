"""What an odometer soundly says of a vehicle: as far as it did not go backwards. Pure.

Rule (common practice, no source): a reading lower than the one before it ends a stretch and begins
another one, whatever the reason was: an instrument changed, or a digit mistyped. Distances are
compared within one stretch only. So the distance clock of a unit ends at the last reading of the
stretch in which it began; its age goes on, and a unit fitted later has a sound clock again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from jobs.lives.rows import Sight

LEAST_DAYS: Final = 30
"""Between two readings, for how far the vehicle goes in a day (our own advice)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A distance, metres, and the stretch to which it belongs."""

    stretch: int
    at_m: int


@dataclass(frozen=True, slots=True)
class Odometer:
    """The stretches in order of time, each with sights that never go backwards; none is empty."""

    stretches: tuple[tuple[Sight, ...], ...]

    def first_on(self, day: int) -> Spot | None:
        """What it first showed on a day, or showed last before; None before the first sight."""
        for number, stretch in enumerate(self.stretches):
            for sight in stretch:
                if sight.day == day:
                    return Spot(number, sight.at_m)
        return self.by(day)

    def by(self, day: int, at_m: int | None = None) -> Spot | None:
        """What it last showed up to a day; None before the first sight.

        `at_m`: where it showed that on the day itself, or else before, the stretch is that of the
        latest such reading: of two on one day nobody knows which was first.
        """
        last: Spot | None = None
        named: Spot | None = None
        before: Spot | None = None
        for number, stretch in enumerate(self.stretches):
            until = bisect_right(stretch, day, key=lambda sight: sight.day)
            if until:
                last = Spot(number, stretch[until - 1].at_m)
            if any(one.day == day and one.at_m == at_m for one in stretch[:until]):
                named = Spot(number, at_m or 0)
            if any(one.at_m == at_m for one in stretch[:until]):
                before = Spot(number, at_m or 0)
        return named or before or last

    def last_of(self, stretch: int, day: int) -> int | None:
        """The last reading of a stretch up to a day, metres."""
        sights = self.stretches[stretch]
        until = bisect_right(sights, day, key=lambda sight: sight.day)
        return sights[until - 1].at_m if until else None

    def m_a_day(self, stretch: int) -> int | None:
        """How far the vehicle goes in a day by a stretch; None with too few days between readings.

        Nought when the stretch has ended: what was driven since is not known.
        """
        if stretch < len(self.stretches) - 1:
            return 0
        first, last = self.stretches[stretch][0], self.stretches[stretch][-1]
        days = last.day - first.day
        # Halves go up, in whole numbers, as a database reckons it.
        return (2 * (last.at_m - first.at_m) + days) // (2 * days) if days >= LEAST_DAYS else None


def read(sights: Iterable[Sight]) -> Odometer:
    """Sights of one day stand in the order of reading, days in any order."""
    stretches: list[list[Sight]] = []
    for sight in sorted(sights, key=lambda one: one.day):
        if not stretches or sight.at_m < stretches[-1][-1].at_m:
            stretches.append([])
        stretches[-1].append(sight)
    return Odometer(tuple(tuple(stretch) for stretch in stretches))
