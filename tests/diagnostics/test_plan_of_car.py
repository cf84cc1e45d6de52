"""The plan of the car: what each place shows."""

from __future__ import annotations

import pytest

from diagnostics.places import CORNERS, OPPOSITE, SUSPECT, axle_of, resolve
from diagnostics.plan_of_car import PLACES, Measured, marks

COIL, PLAY = ("sensor_resistance", "hub"), ("bearing_play", "hub")


def test_the_worst_of_the_latest_values_gives_a_place_its_look() -> None:
    values = [Measured(COIL, "LR", "1.39 kΩ", "within"), Measured(PLAY, "LR", "0.2 mm", "outside")]
    assert marks(values)["LR"].verdict == "outside"
    assert marks(values)["LR"].says == "0.2 mm"


def test_a_repeat_takes_the_place_of_what_was_measured_before() -> None:
    values = [Measured(COIL, "LR", "1.49 kΩ", "near"), Measured(COIL, "LR", "1.39 kΩ", "within")]
    assert marks(values)["LR"].verdict == "within"


def test_a_value_outside_is_hidden_by_no_good_one_until_the_repair() -> None:
    """A wire that opens only when moved reads well at rest: it is still open."""
    moved = Measured(COIL, "LR", "OL", "outside", phase="as_found")
    at_rest = Measured(COIL, "LR", "1.39 kΩ", "within", phase="as_found")
    repaired = Measured(COIL, "LR", "1.40 kΩ", "within", phase="after_repair")
    assert marks([moved, at_rest])["LR"].verdict == "outside"
    assert marks([moved, at_rest, repaired])["LR"].verdict == "within"


def test_the_quantity_in_hand_is_the_one_written_though_another_is_worse() -> None:
    values = [Measured(COIL, "LR", "1.39 kΩ", "within"), Measured(PLAY, "LR", "0.2 mm", "outside")]
    mark = marks(values, about="sensor_resistance")["LR"]
    assert (mark.says, mark.verdict) == ("1.39 kΩ", "outside")


def test_flags_are_written_where_nothing_was_measured() -> None:
    found = marks([], codes={"LR": ("C0045", "C0047")}, suspect="LR", now="LR", link="?place=")
    assert (found["LR"].says, found["LR"].suspect, found["LR"].now) == ("C0045, C0047", True, True)
    assert found["RF"].url == "?place=RF"
    assert set(found) == set(PLACES)


@pytest.mark.parametrize(
    ("place", "corner", "meant"),
    [
        (SUSPECT, "LR", "LR"),
        (OPPOSITE, "LR", "RR"),
        (OPPOSITE, "RF", "LF"),
        (SUSPECT, "", None),
        (OPPOSITE, "", None),
        ("front", "LR", "front"),
        ("", "LR", ""),
    ],
)
def test_a_step_speaks_of_the_corner_it_means(place: str, corner: str, meant: str | None) -> None:
    assert resolve(place, corner) == meant


def test_every_corner_has_its_axle_and_nothing_else_has() -> None:
    assert [axle_of(corner) for corner in CORNERS] == ["front", "front", "rear", "rear"]
    assert axle_of("front") == ""
