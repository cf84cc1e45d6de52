"""What is known of a complaint when somebody asks whether it can be proved. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import IntEnum


class Moment(IntEnum):
    """How far a job is, as far as evidence goes: what can be given from when."""

    TAKEN_IN = 0
    DIAGNOSIS = 1
    REPAIR = 2
    PROVING = 3


@dataclass(frozen=True, slots=True)
class Wants:
    """What the payer asks to see. `hold_until`: the day to which it may ask for the part."""

    photos: bool = False
    clock: bool = False
    serials: bool = True
    part: bool = True
    hold_until: date | None = None


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """A reading that stands. `tied`: chosen to carry the conclusion."""

    name: str
    component: str
    position: str
    verdict: str
    after: bool
    tied: bool = False
    limit: bool = False
    conditions: bool = False
    source: bool = False


@dataclass(frozen=True, slots=True)
class FlagFact:
    """A flag that a module held. `points_at`: (component, position) pairs of the catalogue."""

    code: str
    after: bool
    present: bool
    tied: bool = False
    points_at: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class UnitFact:
    """An assembly of the complaint: what was fitted, which numbers are known, the tag."""

    component: str
    name: str
    position: str = ""
    part_number: str = ""
    fitted: bool = False
    serial_off: str = ""
    serial_on: str = ""
    tag: str = ""
    kept: bool = False
    held_until: date | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """Components and systems are keys of the catalogue; "" means not known.

    `limit_known`: the catalogue holds a limit for something of the concluded component.
    `looks`: how many looks or lamps carry the conclusion. `photos`: what each photo shows.
    """

    moment: Moment
    words: str
    system: str = ""
    concluded: bool = False
    no_fault_found: bool = False
    component: str = ""
    component_system: str = ""
    component_name: str = ""
    position: str = ""
    failure_mode: str = ""
    correction: str = ""
    limit_known: bool = True
    read_before: bool = False
    read_after: bool = False
    flags: tuple[FlagFact, ...] = ()
    readings: tuple[ReadingFact, ...] = ()
    looks: int = 0
    operations: int = 0
    clocked: bool = False
    road_tests: int = 0
    road_test_long_enough: bool = False
    units: tuple[UnitFact, ...] = ()
    photos: tuple[str, ...] = ()
    odometer_out: bool = False
    authorised: bool = False

    @property
    def fitted(self) -> tuple[UnitFact, ...]:
        return tuple(one for one in self.units if one.fitted)
