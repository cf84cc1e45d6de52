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


def judge_drive(
    distance_m: float, top_speed_mps: float, needs: DriveNeeds, *, distance: str, speed: str
) -> DriveJudged:
    """Compare a road test with what the module needs; the sentence is in the person's own units.

    `distance` ("km" or "mi") and `speed` ("km/h" or "mph") are the units to say it in. The speed
    has to be passed, the distance reached.
    """
    problems = []
    if distance_m < needs.min_distance_m:
        problems.append(
            f"{units.format_value(distance_m, distance, digits=3)} is shorter than the "
            f"{units.format_value(needs.min_distance_m, distance, digits=3)} asked for"
        )
    if top_speed_mps <= needs.self_test_speed_mps:
        problems.append(
            f"{units.format_value(top_speed_mps, speed, digits=3)} does not pass the "
            f"{units.format_value(needs.self_test_speed_mps, speed, digits=2)} at which the "
            "module tests itself"
        )
    if problems:
        return DriveJudged(False, f"{', and '.join(problems)} ({needs.source}).")
    return DriveJudged(
        True,
        f"{units.format_value(distance_m, distance, digits=3)} at up to "
        f"{units.format_value(top_speed_mps, speed, digits=3)}, past the "
        f"{units.format_value(needs.self_test_speed_mps, speed, digits=2)} at which the module "
        "tests itself.",
    )
