"""What is known of a vehicle, and the lives of its units that follow from it. Pure.

Days are proleptic ordinals (date.toordinal), distances metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Entry = Literal["first_seen", "fitted", "elsewhere"]
Exit = Literal["", "failed", "other", "elsewhere", "gone"]


@dataclass(frozen=True, slots=True)
class Sight:
    """An odometer reading: the only contact there is. In order of time."""

    day: int
    at_m: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a unit sits: the component of the platform, and the corner ("" for one a vehicle)."""

    component: int
    position: str


@dataclass(frozen=True, slots=True)
class Swap:
    """A unit that was replaced at a place. `came_day`, `came_m`: of the taking in at which it was
    found; `fitted_day`, `fitted_m`: when the new one went on. `another`: the unit that came off was
    not the one on record, so that somebody else had replaced that one before. `found_day`,
    `found_m`: of an earlier taking in at which it was found to have failed and left on, if any."""

    place: Place
    came_day: int
    came_m: int
    fitted_day: int
    fitted_m: int
    failed: bool
    another: bool = False
    # The keys of the units that came off and went on; those fitted later have greater ones.
    off: int | None = None
    on: int | None = None
    found_day: int | None = None
    found_m: int | None = None


@dataclass(frozen=True, slots=True)
class History:
    """All that bears on the lives of one vehicle's units. `in_service`: None where not known.

    `gone_day`: since when it will not be seen again; a later sight ends that.
    """

    sights: tuple[Sight, ...]
    places: tuple[Place, ...]
    swaps: tuple[Swap, ...]
    in_service: int | None
    gone_day: int | None


@dataclass(frozen=True, slots=True)
class Life:
    """One row as FittedUnit keeps it; the columns are explained there."""

    place: Place
    entry: Entry
    exit: Exit
    in_day: int
    out_day: int
    born_day: int | None
    in_m: int | None
    out_m: int | None
    born_m: int | None
    left_at_out_m: bool
    m_a_day: int | None
    known_day: int | None = None  # on which it was written down that it left
    stretch: int = 0  # of the odometer, in which its distance clock began
    unit: int | None = None  # the key of the unit, where a replacement names it
