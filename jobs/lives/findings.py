"""At which taking in a unit was found to have failed, where its repair was declined then. Pure.

A unit that a conclusion said had failed, whose repair the customer declined, had failed on that day
and not when it was replaced at a later visit. Such a finding stands until a later one breaks it:
the unit was repaired or replaced; what was declined was taken up again and something else, or
nothing, was found; or nothing was found in that system. Only closed orders are heard, for what they
say does not change any more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from jobs.lives.rows import Place


@dataclass(frozen=True, slots=True)
class Said:
    """What was concluded of one complaint of a closed order. `place`: what had failed, None where
    no fault was found; `again`: the declined complaint that it takes up; `day`, `at_m`: of the
    taking in. `system`: that of what had failed, else that of the complaint."""

    came_at: datetime
    order: int
    closed_at: datetime
    complaint: int
    again: int | None
    system: int | None
    place: Place | None
    declined: bool
    day: int
    at_m: int


@dataclass(frozen=True, slots=True)
class Fitting:
    """A unit that went on, by its key, and the order on which it did."""

    unit: int
    came_at: datetime
    order: int
    place: Place
    fitted_at: datetime


@dataclass(frozen=True, slots=True)
class Found:
    """A finding that stands: when the vehicle was taken in, and the complaints that say so."""

    day: int
    at_m: int
    closed_at: datetime
    system: int | None
    complaints: frozenset[int]


def first_found(said: Iterable[Said], fittings: Iterable[Fitting]) -> dict[int, Found]:
    """Of one vehicle: by the unit that went on, the first standing finding that the one which came
    off had failed; nothing of those that were found when they were replaced."""
    words: dict[tuple[datetime, int], list[Said]] = defaultdict(list)
    put_on: dict[tuple[datetime, int], list[Fitting]] = defaultdict(list)
    for one in said:
        words[one.came_at, one.order].append(one)
    for fitting in fittings:
        put_on[fitting.came_at, fitting.order].append(fitting)
    standing: dict[Place, Found] = {}
    first: dict[int, Found] = {}
    for visit in sorted({*words, *put_on}):
        fitted = sorted(put_on[visit], key=lambda one: (one.fitted_at, one.unit))
        for fitting in fitted:
            found = standing.pop(fitting.place, None)
            if found is not None and found.closed_at <= fitting.fitted_at:
                first[fitting.unit] = found
        renewed = {fitting.place for fitting in fitted}
        # What was not found is heard first: it speaks of earlier visits, not of this one.
        for one in sorted(words[visit], key=lambda one: (one.place is not None, one.complaint)):
            if one.place not in renewed:
                _hear(standing, one)
    return first


def _hear(standing: dict[Place, Found], one: Said) -> None:
    for place, found in list(standing.items()):
        otherwise = place != one.place and one.again in found.complaints
        nothing = one.place is None and one.system is not None and one.system == found.system
        if otherwise or nothing:
            del standing[place]
    if one.place is None:
        return
    before = standing.pop(one.place, None)
    if one.declined:
        complaints = frozenset({one.complaint, *(before.complaints if before else ())})
        if before is None:
            standing[one.place] = Found(one.day, one.at_m, one.closed_at, one.system, complaints)
        else:
            standing[one.place] = Found(
                before.day, before.at_m, before.closed_at, before.system, complaints
            )
