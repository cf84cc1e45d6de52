"""Which of four wheels disagrees: worked cases, and wheels made from tyres and rings."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.compute.four_wheels import (
    AGREES_WITHIN,
    Comparison,
    WheelFound,
    compare,
    explanations,
)

WHEELS = ("LF", "RF", "LR", "RR")


def four(*values: float) -> dict[str, float]:
    return dict(zip(WHEELS, values, strict=True))


def wheel(found: Comparison, name: str) -> WheelFound:
    return next(one for one in found.wheels if one.wheel == name)


def test_all_the_same() -> None:
    found = compare([four(50, 50, 50, 50)])
    assert found.pattern == "agree"
    assert not found.off
    assert found.road == (50,)


@given(
    name=st.sampled_from(WHEELS),
    off=st.one_of(st.floats(-0.5, -0.04), st.floats(0.04, 1.0)),
    noise=st.lists(st.floats(-0.004, 0.004), min_size=4, max_size=4),
    speeds=st.lists(st.floats(5, 200), min_size=1, max_size=3),
)
def test_the_one_that_is_off_is_found_with_its_size(
    name: str, off: float, noise: list[float], speeds: list[float]
) -> None:
    sets = [
        {
            one: speed * (1 + wobble) * (1 + off if one == name else 1)
            for one, wobble in zip(WHEELS, noise, strict=True)
        }
        for speed in speeds
    ]

    found = compare(sets)

    assert found.pattern == "some_off"
    assert [one.wheel for one in found.off] == [name]
    assert found.off[0].typical == pytest.approx(off, abs=0.02)
    assert found.off[0].state == "off"


@given(
    values=st.lists(st.floats(0, 300), min_size=4, max_size=4),
    factor=st.floats(0.01, 100),
    order=st.permutations(WHEELS),
)
def test_neither_the_unit_nor_the_order_matters(
    values: list[float], factor: float, order: list[str]
) -> None:
    # Wheels on the very edge of agreeing may fall to either side when rescaled.
    apart = [a / b - 1 for a in values for b in values if b > 0]
    assume(all(abs(one - AGREES_WITHIN) > 1e-6 for one in apart))
    plain = four(*values)
    try:
        found = compare([plain])
    except ValueError:
        with pytest.raises(ValueError, match="nothing to compare"):
            compare([{one: plain[one] * factor for one in order}])
        return
    again = compare([{one: plain[one] * factor for one in order}])
    if len(found.reference) != 2:  # of two equally close pairs either may be named
        assert {w.wheel: w.state for w in again.wheels} == {w.wheel: w.state for w in found.wheels}
    for one in found.wheels:
        assert math.isfinite(one.worst)
        assert one.worst >= -1


def test_two_wrong_wheels_do_not_condemn_the_two_that_agree() -> None:
    found = compare([four(50, 50.1, 53, 46)])
    assert found.reference == ("LF", "RF")
    assert {one.wheel for one in found.off} == {"LR", "RR"}
    assert wheel(found, "RR").worst == pytest.approx(46 / 50.05 - 1)


@pytest.mark.parametrize(
    ("values", "pattern"),
    [
        ((50, 50, 52.5, 52.5), "axles"),
        ((50, 52.5, 50, 52.5), "sides"),
        ((50, 52.5, 52.5, 50), "diagonals"),
        ((50, 54, 58, 62), "none_agree"),
    ],
)
def test_two_pairs_are_not_decided(values: tuple[float, ...], pattern: str) -> None:
    found = compare([four(*values)])
    assert found.pattern == pattern
    assert not found.reference
    assert len({abs(round(one.worst, 9)) for one in found.wheels}) <= 4


def test_a_wheel_at_nought_is_silent_and_spoils_no_reference() -> None:
    found = compare([four(50, 0, 50, 50)])
    assert found.reference == ("LF", "LR", "RR")
    assert wheel(found, "RF").state == "silent"
    assert wheel(found, "RF").worst == -1
    assert wheel(found, "LF").worst == 0


def test_two_silent_wheels_leave_two_to_compare() -> None:
    found = compare([four(50, 0, 50.1, 0)])
    assert {one.wheel for one in found.off} == {"RF", "RR"}


@pytest.mark.parametrize("values", [(0, 0, 0, 0), (50, 0, 0, 0), (50, 0, 1e-311, 1e-311)])
def test_fewer_than_two_that_turn_are_refused(values: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="nothing to compare"):
        compare([four(*values)])


def test_one_that_wakes_up_with_the_speed_drops_out() -> None:
    found = compare([four(6, 6, 0, 6), four(50, 50, 50, 50)])
    one = wheel(found, "LR")
    assert one.state == "drops_out"
    assert one.deviations == (-1.0, 0.0)
    assert one.worst == -1


def test_a_ratio_that_changes_with_the_speed_is_told_from_a_constant_one() -> None:
    varies = compare([four(10, 10, 8, 10), four(50, 50, 50, 50)])
    constant = compare([four(10, 10, 9.2, 10), four(50, 50, 46, 50)])
    assert wheel(varies, "LR").state == "varies"
    assert wheel(constant, "LR").state == "off"


def test_what_a_coarse_tester_cannot_show_is_not_held_against_a_wheel() -> None:
    readings = [four(20, 20, 21, 20)]
    assert compare(readings, resolution=1.0).pattern == "agree"
    assert compare(readings).pattern == "some_off"


def test_three_wheels_are_enough_and_two_are_not() -> None:
    three: Mapping[str, float] = {"LF": 50, "RF": 50, "LR": 55}
    assert [one.wheel for one in compare([three]).off] == ["LR"]
    with pytest.raises(ValueError, match="three wheels"):
        compare([{"LF": 50, "RF": 50}])


def test_sets_with_other_wheels_and_impossible_speeds_are_refused() -> None:
    with pytest.raises(ValueError, match="same wheels"):
        compare([four(50, 50, 50, 50), {"LF": 50, "RF": 50, "LR": 50}])
    with pytest.raises(ValueError, match="below nought"):
        compare([four(50, 50, 50, -1)])
    with pytest.raises(ValueError, match="below nought"):
        compare([four(50, 50, 50, math.nan)])


# ---------------------------------------------------------------- explanations


@pytest.mark.parametrize("teeth", [43, 44, 47, 48, 52, 96])
@pytest.mark.parametrize("off", [-5, -2, -1, 1, 2, 4])
def test_a_ring_with_some_teeth_more_or_fewer_is_named(teeth: int, off: int) -> None:
    found = explanations((teeth + off) / teeth - 1, teeth=teeth)
    assert [one.teeth for one in found if one.kind == "ring"] == [teeth + off]


@given(share=st.floats(-0.11, 0.11))
def test_the_diameter_that_would_explain_it_is_named(share: float) -> None:
    # A tyre larger by a share turns more slowly by it: v = w d / 2.
    found = explanations(1 / (1 + share) - 1, diameter=0.6345)
    tyre = found[0]
    assert tyre.kind in ("tyre", "wear")
    assert tyre.share == pytest.approx(share, abs=1e-9)
    assert tyre.diameter == pytest.approx(0.6345 * (1 + share), rel=1e-9)


def test_half_a_tooth_fits_no_ring() -> None:
    assert all(one.kind != "ring" for one in explanations(46.5 / 48 - 1, teeth=48))


def test_what_no_tyre_can_make_is_not_put_down_to_one() -> None:
    assert explanations(0.4, teeth=48, diameter=0.63) == ()
    assert [one.kind for one in explanations(1.0, teeth=48)] == ["twice"]


def test_a_silent_wheel_has_nothing_to_explain() -> None:
    with pytest.raises(ValueError, match="no ratio"):
        explanations(-1.0)
