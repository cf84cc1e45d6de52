"""When a return may be the comeback of an earlier repair: the rule proposes. Pure.

Common practice, no source: a return within the workshop's window, in days and in distance, about
the same component, or else the system that was repaired or complained of before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Because = Literal["component", "system"]


@dataclass(frozen=True, slots=True)
class Done:
    """An earlier repair. Days are ordinals, distances metres (None: not soundly known).

    `system` is that of the component repaired, `said` that of which the customer complained: a
    lamp of the brake control may be cured at the wheel end, and be on again.
    """

    pk: int
    handed_day: int
    handed_m: int | None
    component: int | None
    system: int | None
    said: int | None = None


@dataclass(frozen=True, slots=True)
class Return:
    """A complaint that came in. `component` None: nothing was concluded yet."""

    day: int
    at_m: int | None
    component: int | None
    system: int | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """Which repair it may be the comeback of, why, and how long and how far after it."""

    pk: int
    because: Because
    days: int
    metres: int | None


def proposed(back: Return, earlier: Sequence[Done], *, days: int, metres: int) -> Proposal | None:
    """The repair that this return may be the comeback of, or None.

    days, metres: the window; both must hold, and a distance that is not known does not exclude.
    The same component goes before the same system, then the latest repair before others.
    """
    within = [one for one in earlier if _within(back, one, days, metres)]
    same: list[tuple[Because, list[Done]]] = [
        ("component", [o for o in within if o.component and o.component == back.component]),
        ("system", [o for o in within if back.system and back.system in (o.system, o.said)]),
    ]
    for because, found in same:
        if found:
            last = max(found, key=lambda one: (one.handed_day, one.pk))
            return Proposal(last.pk, because, back.day - last.handed_day, _metres(back, last))
    return None


def _within(back: Return, one: Done, days: int, metres: int) -> bool:
    if not 0 <= back.day - one.handed_day <= days:
        return False
    driven = _metres(back, one)
    return driven is None or driven <= metres


def _metres(back: Return, one: Done) -> int | None:
    """How far it was driven since; None when that is not known, or the odometer went back."""
    if back.at_m is None or one.handed_m is None or back.at_m < one.handed_m:
        return None
    return back.at_m - one.handed_m
