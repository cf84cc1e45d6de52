"""Was a road test long and fast enough to prove anything? Pure.

Common practice, no source: the modulator tests its motors once per start above about 3 mph
(5 km/h), so a drive that never passed that speed has tested nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from shop import units

COMMON_SELF_TEST_SPEED_MPS = units.to_si(5.0, "km/h")


@dataclass(frozen=True, slots=True)
class DriveNeeds:
    """Metres and metres per second a road test must reach; `source` says who asks for them."""

    self_test_speed_mps: float = COMMON_SELF_TEST_SPEED_MPS
    min_distance_m: float = 0.0
    source: str = "common practice, no source"


@dataclass(frozen=True, slots=True)
class DriveJudged:
    long_enough: bool
    reason: str


def to_a_tenth(value_si: float, unit: str) -> str:
    """ "5 km", "3.1 mph": as exact as a road test is told."""
    shown = units.format_number(round(units.from_si(value_si, unit), 1))
    return units.with_unit(shown, unit)


@dataclass(frozen=True, slots=True)
class Drive:
    """A road test: metres and metres per second, and the value with the unit each was typed in."""

    distance_m: float
    top_speed_mps: float
    distance: str
    distance_unit: str
    top_speed: str
    speed_unit: str

    @property
    def distance_typed(self) -> str:
        return units.with_unit(self.distance, self.distance_unit)

    @property
    def speed_typed(self) -> str:
        return units.with_unit(self.top_speed, self.speed_unit)


def judge_drive(drive: Drive, needs: DriveNeeds) -> DriveJudged:
    """Compare a road test with what the module needs, in a sentence in the person's own units.

    The self-test speed has to be passed, the distance reached.
    """
    passed = to_a_tenth(needs.self_test_speed_mps, drive.speed_unit)
    problems = []
    if drive.distance_m < needs.min_distance_m:
        asked = to_a_tenth(needs.min_distance_m, drive.distance_unit)
        problems.append(f"{drive.distance_typed} is shorter than the {asked} asked for")
    if drive.top_speed_mps <= needs.self_test_speed_mps:
        problems.append(
            f"{drive.speed_typed} does not pass the {passed} at which the module tests itself"
        )
    if problems:
        return DriveJudged(False, f"{', and '.join(problems)} ({needs.source}).")
    return DriveJudged(
        True,
        f"{drive.distance_typed} at up to {drive.speed_typed}, past the {passed} at which the "
        "module tests itself.",
    )
