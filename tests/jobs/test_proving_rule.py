"""Is a road test long and fast enough? The self-test speed is common practice, no source."""

from __future__ import annotations

import pytest

from jobs.proving_rule import COMMON_SELF_TEST_SPEED_MPS, Drive, DriveNeeds, judge_drive
from shop import units

NEEDS = DriveNeeds(units.to_si(5, "km/h"), units.to_si(5, "km"), "demo figure")


def drive(distance: str, speed: str, far: str = "km", fast: str = "km/h") -> Drive:
    return Drive(
        units.to_si(units.parse_number(distance), far),
        units.to_si(units.parse_number(speed), fast),
        distance,
        far,
        speed,
        fast,
    )


@pytest.mark.parametrize(
    ("driven", "counts"),
    [
        (drive("5", "5.1"), True),
        (drive("4.96", "60"), False),
        (drive("8", "5"), False),
        (drive("3.2", "40", "mi", "mph"), True),
        (drive("3.1", "40", "mi", "mph"), False),
        (drive("8", "3.1", "mi", "mph"), False),
        (drive("8", "3.2", "mi", "mph"), True),
    ],
)
def test_the_distance_has_to_be_reached_and_the_speed_passed(driven: Drive, counts: bool) -> None:
    """By hand: 5 km is 3.107 mi, 5 km/h is 3.107 mph (1 mi = 1.609344 km, NIST SP 811)."""
    assert judge_drive(driven, NEEDS).long_enough is counts


def test_the_sentence_keeps_the_figures_as_typed_and_says_who_asks() -> None:
    short = judge_drive(drive("4.96", "4"), NEEDS)
    assert short.reason.replace("\u00a0", " ") == (
        "4.96 km is shorter than the 5 km asked for, and 4 km/h does not pass the 5 km/h at which "
        "the module tests itself (demo figure)."
    )
    miles = judge_drive(drive("6", "45", "mi", "mph"), NEEDS)
    assert miles.reason.replace("\u00a0", " ") == (
        "6 mi at up to 45 mph, past the 3.1 mph at which the module tests itself."
    )


def test_without_a_catalogue_common_practice_asks_only_for_the_self_test_speed() -> None:
    common = DriveNeeds()
    assert pytest.approx(5 / 3.6) == COMMON_SELF_TEST_SPEED_MPS
    assert judge_drive(drive("0.4", "20"), common).long_enough
    refused = judge_drive(drive("0.4", "4.9"), common)
    assert not refused.long_enough
    assert "common practice, no source" in refused.reason
