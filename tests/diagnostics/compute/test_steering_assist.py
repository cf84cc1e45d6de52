"""Curves of assist, and what the pattern of duty and flow points to (common practice, no source).

Interpolation is checked against numpy.interp; the patterns against the trade's reasoning: the valve
is open without power, duty rises with speed, a fault leaves full assist.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute import steering_assist as assist
from diagnostics.compute.assist_pointers import Seen, points_to
from diagnostics.compute.steering_assist import Curve
from diagnostics.compute.verdict import VerdictKind

KMH = 1 / 3.6
LMIN = 0.001 / 60
SPEEDS = (0, 10, 30, 60, 90, 120)
DUTY = Curve(
    tuple(zip((v * KMH for v in SPEEDS), (0, 0, 0.15, 0.35, 0.50, 0.60), strict=True)), 0.05
)
FLOW = Curve(
    tuple((v * KMH, q * LMIN) for v, q in zip(SPEEDS, (8.0, 8.0, 7.1, 5.9, 5.1, 4.5), strict=True)),
    0.5 * LMIN,
)


@given(speed=st.floats(0, 120 * KMH))
def test_between_its_points_a_curve_is_straight(speed: float) -> None:
    xs, ys = zip(*DUTY.points, strict=True)
    assert DUTY.at(min(speed, DUTY.last)) == pytest.approx(float(np.interp(speed, xs, ys)))


def test_a_curve_meets_its_points_and_says_nothing_beyond_them() -> None:
    assert [DUTY.at(x) for x, _ in DUTY.points] == [y for _, y in DUTY.points]
    assert DUTY.at(121 * KMH) is None
    assert DUTY.at(-0.1) is None


@pytest.mark.parametrize(
    ("points", "tolerance", "says"),
    [
        (((0.0, 1.0),), 0.1, "two points"),
        (((0.0, 1.0), (0.0, 2.0)), 0.1, "rise"),
        (((1.0, 1.0), (0.0, 2.0)), 0.1, "rise"),
        (((0.0, 1.0), (1.0, 2.0)), -0.1, "tolerance"),
        (((0.0, 1.0), (1.0, math.nan)), 0.1, "finite"),
    ],
)
def test_it_refuses_a_curve_that_is_none(
    points: tuple[tuple[float, float], ...], tolerance: float, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        Curve(points, tolerance)


@pytest.mark.parametrize(
    ("speed", "duty", "kind", "state"),
    [
        (60, 0.35, VerdictKind.WITHIN, "right"),
        (60, 0.395, VerdictKind.NEAR, "right"),
        (60, 0.40, VerdictKind.NEAR, "right"),  # exactly on the edge
        (60, 0.401, VerdictKind.OUTSIDE, "high"),
        (60, 0.299, VerdictKind.OUTSIDE, "low"),
        (5, 0.0, VerdictKind.WITHIN, "right"),  # a natural nought is no limit
        (5, 0.06, VerdictKind.OUTSIDE, "high"),
        (130, 0.6, VerdictKind.NOT_JUDGED, "unknown"),
    ],
)
def test_a_point_is_judged_by_the_band(
    speed: float, duty: float, kind: VerdictKind, state: str
) -> None:
    found = assist.compare(DUTY, speed * KMH, duty, unit="%", most=1.0)
    assert (found.verdict.kind, found.state) == (kind, state)


@given(st.floats(10 * KMH, 120 * KMH))
def test_the_flow_of_a_right_duty_is_the_flow_of_its_speed(speed: float) -> None:
    duty, flow = DUTY.at(speed), FLOW.at(speed)
    assert duty is not None
    found = assist.response_to(DUTY, FLOW, duty)
    assert found == pytest.approx(flow, rel=1e-6)


def test_no_flow_is_known_for_a_duty_beyond_the_curve() -> None:
    assert assist.response_to(DUTY, FLOW, 0.8) is None
    level = Curve(((0.0, 0.3), (40.0, 0.3)), 0.05)
    assert assist.response_to(level, FLOW, 0.3) is None


@pytest.mark.parametrize(
    ("values", "rises", "kind"),
    [
        ([(0, 0.0), (40, 0.3), (100, 0.5)], True, "right"),
        ([(0, 0.0), (40, 0.0), (100, 0.0)], True, "flat"),
        ([(0, 0.4), (40, 0.2), (100, 0.1)], True, "wrong way"),
        ([(0, 0.0), (40, 0.5), (100, 0.3)], True, "wrong way"),
        ([(0, 8.0), (100, 7.9)], False, "flat"),
        ([(0, 8.0), (100, 4.5)], False, "right"),
        ([(0, 8.0), (20, 7.5)], False, "too few"),
        ([(0, 8.0)], False, "too few"),
    ],
)
def test_without_a_curve_the_way_it_goes_is_seen(
    values: list[tuple[float, float]], rises: bool, kind: str
) -> None:
    found = assist.shape_of([(speed * KMH, value) for speed, value in values], rises=rises)
    assert found.kind == kind


RIGHT = Seen(
    command_parked="right",
    command_moving="right",
    response_parked="right",
    response_moving="right",
    flag="none",
    read_at="plug",
)


def keys(seen: Seen) -> set[str]:
    return {pointer.key for pointer in points_to(seen)}


def test_where_all_is_right_nothing_is_accused() -> None:
    assert keys(RIGHT) == {"all right"}


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # Command wrong, flow follows it: the control or its speed.
        ({"command_moving": "low", "response_moving": "high", "follows": True},
         {"too little command", "does as it is told"}),
        ({"command_moving": "high", "response_moving": "low", "follows": True},
         {"too much command", "does as it is told"}),
        # Command wrong and flow does not fit it either.
        ({"command_moving": "low", "response_moving": "low", "follows": False},
         {"too little command", "two faults"}),
        # Command right, flow off: actuator, pump, hose.
        ({"response_moving": "high"}, {"not cut"}),
        ({"response_moving": "high", "read_at": "control"}, {"not cut", "does it arrive"}),
        ({"response_parked": "low", "response_moving": "low"}, {"starved"}),
        ({"response_moving": "low"}, {"closes too far"}),
        # Full assist everywhere.
        ({"command_moving": "low", "response_moving": "high", "no_command": True,
          "flag": "stored", "follows": True, "read_at": "control"},
         {"switched off", "does as it is told"}),
        ({"command_moving": "low", "no_command": True, "flag": "none", "read_at": "control",
          "response_moving": "unknown", "response_parked": "unknown"}, {"no command"}),
        ({"command_moving": "low", "no_command": True, "flag": "not read",
          "response_moving": "high", "follows": True},
         {"no command, flags not read", "lost on the way", "does as it is told"}),
        # Duty when parked.
        ({"command_parked": "high", "response_parked": "low", "follows": True},
         {"duty when parked", "does as it is told"}),
        ({"command_parked": "high", "command_moving": "high", "response_parked": "low",
          "response_moving": "low", "follows": True}, {"duty when parked", "does as it is told"}),
        # Only one side seen.
        ({"command_parked": "unknown", "command_moving": "unknown", "response_moving": "high"},
         {"light, command not seen"}),
        ({"command_parked": "unknown", "command_moving": "unknown", "response_parked": "low"},
         {"heavy, command not seen"}),
        ({"response_parked": "unknown", "response_moving": "unknown"}, {"response not seen"}),
        # The rate sensor.
        ({"sensor": True, "fast_turn": "same"}, {"all right", "fast turn not seen"}),
        ({"sensor": True, "fast_turn": "cut"}, {"all right", "fast turn seen"}),
        ({"sensor": True}, {"all right", "fast turn not tried"}),
        ({"sensor": False, "fast_turn": "cut"}, {"all right", "turn without sensor"}),
        ({"sensor": False, "fast_turn": "same"}, {"all right"}),
        # The customer's words.
        ({"felt": "heavy_parking"}, {"all right", "parking not explained"}),
        ({"felt": "light_fast"}, {"all right", "lightness not explained"}),
        ({"felt": "comes_and_goes"}, {"all right", "comes and goes"}),
        ({"felt": "light_fast", "response_parked": "low", "response_moving": "low"},
         {"starved", "words do not fit"}),
        ({"felt": "heavy_parking", "response_moving": "high"},
         {"not cut", "parking not explained", "words do not fit"}),
        ({"flag": "stored"}, {"all right", "flag though right"}),
        ({"flag": "stored", "response_moving": "high"}, {"not cut", "flag to follow"}),
    ],
)  # fmt: skip
def test_each_pattern_points_where_the_trade_would_look(
    changes: dict[str, object], expected: set[str]
) -> None:
    assert keys(replace(RIGHT, **changes)) == expected  # type: ignore[arg-type]


def test_heavy_parking_never_accuses_the_circuit_and_lightness_never_the_pump() -> None:
    heavy = " ".join(p.says for p in points_to(replace(RIGHT, response_parked="low")))
    assert "pump" in heavy
    assert "no electrical fault" in heavy
    light = " ".join(p.says for p in points_to(replace(RIGHT, response_moving="high")))
    assert "actuator" in light
    assert "pump" not in light


def test_findings_name_what_was_measured_and_the_worst_comes_first() -> None:
    seen = replace(RIGHT, response_moving="high", response_name="pressure", sensor=True)
    found = points_to(seen)
    assert [pointer.tone for pointer in found] == ["bad", "unknown"]
    assert "pressure is not cut" in found[0].says
    assert not any("{" in pointer.says for pointer in found)
