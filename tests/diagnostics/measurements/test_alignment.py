"""Toe, alignment, caster by a sweep and side slip, as they are typed at the car."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.compute.verdict import Limit
from diagnostics.measurements.alignment import ALIGNMENT, KINDS
from diagnostics.measurements.angle_words import both, clean, in_minutes, signed
from diagnostics.measurements.caster import CASTER_SWEEP
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownFigure, KnownLimit
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.side_slip import SIDE_SLIP
from diagnostics.measurements.toe import TOE
from shop.units import from_si, to_si

FRONT = Known(position="front")


def worked(kind: MeasurementKind, typed: dict[str, str], known: Known | None = None) -> Outcome:
    found = kind.work_out(read_typed(kind.fields, typed), known or Known())
    assert outcome_of(outcome_text(found)) == found
    assert {figure.quantity for figure in found.figures} <= {q.key for q in kind.quantities}
    return found


def figure_of(outcome: Outcome, quantity: str, position: str = "") -> Figure:
    (found,) = (f for f in outcome.figures if (f.quantity, f.position) == (quantity, position))
    return found


def degrees(figure: Figure) -> float:
    return from_si(figure.value, "deg")


def says(outcome: Outcome) -> str:
    return " ".join(finding.says for finding in outcome.findings)


def limit(low: float, high: float) -> KnownLimit:
    return KnownLimit(Limit(to_si(low, "deg"), to_si(high, "deg"), "deg"), "demo figure")


def wheels(**angles: str) -> dict[str, str]:
    """LF_toe="0.1" becomes wheels-LF-toe."""
    return {f"wheels-{name.replace('_', '-')}": text for name, text in angles.items()}


# ---- toe of an axle ----


@pytest.mark.parametrize(
    "typed",
    [
        wheels(left_toe="0.10", right_toe="0.10"),
        wheels(left_toe="6", right_toe="6") | {"wheels-toe-unit": "arcmin"},
        wheels(left_length="0.664969", right_length="0.664969") | {"diameter": "381"},
        {"gap": "1.329938", "diameter": "381"},
        {"gap": "1.329938", "diameter": "15", "diameter-unit": "in"},
    ],
)
def test_every_way_of_giving_toe_leads_to_one_total(typed: dict[str, str]) -> None:
    found = worked(TOE, typed, FRONT)
    assert degrees(figure_of(found, "total_toe")) == pytest.approx(0.20, abs=1e-5)
    assert "+0.20° (0°12′)" in found.says


def test_the_length_belongs_to_its_diameter() -> None:
    small = worked(TOE, wheels(left_toe="0.1", right_toe="0.1") | {"diameter": "381"}, FRONT)
    large = worked(TOE, wheels(left_toe="0.1", right_toe="0.1") | {"diameter": "640"}, FRONT)
    assert figure_of(small, "total_toe_length").value == pytest.approx(2 * 0.000665, abs=1e-6)
    assert figure_of(large, "total_toe_length").value == pytest.approx(0.002234, abs=1e-6)


def test_a_toe_is_judged_in_service_by_half_as_much_again() -> None:
    inside = worked(TOE, wheels(left_toe="0.2", right_toe="0.1") | {"specified": "0.2"}, FRONT)
    outside = worked(TOE, wheels(left_toe="-0.2", right_toe="-0.11") | {"specified": "0.2"}, FRONT)

    allowed = figure_of(inside, "total_toe").allowed
    assert allowed is not None
    assert (allowed.low, allowed.high) == (-to_si(0.3, "deg"), to_si(0.3, "deg"))
    assert "570.7(d)" in allowed.source
    assert inside.findings[0].tone == "near"  # exactly on the limit, not outside by a float
    assert outside.findings[0].tone == "bad"


def test_the_maker_s_setting_judges_the_figure_where_it_is_known() -> None:
    known = Known(position="front", limits={"total_toe": limit(0.0, 0.2)})
    found = worked(TOE, wheels(left_toe="0.12", right_toe="0.11") | {"specified": "0.2"}, known)

    assert figure_of(found, "total_toe").allowed is None
    assert [finding.tone for finding in found.findings] == ["bad", "good"]
    assert "outer edges" in found.findings[0].says
    assert "in service" in found.findings[1].says


def test_the_pages_of_the_axle_serve_where_no_setting_is_typed() -> None:
    pages = {"total_toe_specified": KnownFigure(to_si(0.2, "deg"), "deg", "demo figure")}
    known = Known(position="front", figures=pages)
    found = worked(TOE, wheels(left_toe="0.2", right_toe="0.2"), known)
    typed = worked(TOE, wheels(left_toe="0.2", right_toe="0.2") | {"specified": "0.4"}, known)
    slip = figure_of(worked(SIDE_SLIP, {"slip": "1"}, known), "side_slip").allowed

    assert found.findings[0].tone == "bad"
    assert typed.findings[0].tone == "good"
    assert slip is not None
    assert slip.high == pytest.approx(math.radians(0.3), rel=1e-5)


def test_without_a_setting_nothing_is_judged() -> None:
    found = worked(TOE, wheels(left_toe="0.1", right_toe="0.1"), FRONT)
    assert figure_of(found, "total_toe").allowed is None
    assert "not known" in says(found)


def test_wheels_stand_at_the_places_of_their_axle() -> None:
    front = worked(TOE, wheels(left_toe="0.1", right_toe="0.3"), FRONT)
    rear = worked(TOE, wheels(left_toe="0.1", right_toe="0.3"), Known(position="rear"))
    assert degrees(figure_of(front, "wheel_toe", "RF")) == pytest.approx(0.3)
    assert degrees(figure_of(rear, "wheel_toe", "RR")) == pytest.approx(0.3)
    assert "toe unlike" in says(front)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({}, "wheels"),
        (wheels(left_toe="0.1"), "wheels-right-toe"),
        (wheels(left_length="1", right_length="1"), "diameter"),
        (wheels(left_toe="0.1", right_length="1"), "wheels"),
        (wheels(left_toe="0.1", right_toe="0.1") | {"gap": "1", "diameter": "381"}, "gap"),
    ],
)
def test_half_a_toe_is_refused_beside_what_is_missing(typed: dict[str, str], field: str) -> None:
    with pytest.raises(InputError) as refused:
        worked(TOE, typed, FRONT)
    assert refused.value.field == field
    assert worked(TOE, {"gap": "1", "diameter": "381"}, FRONT)


# ---- four wheels ----

FOUR = wheels(LF_toe="0.05", RF_toe="0.12", LR_toe="0.20", RR_toe="0.06")


@pytest.mark.parametrize(("sign", "angle"), [("right", 0.07), ("left", -0.07)])
def test_the_sign_of_the_thrust_angle_is_kept_with_it(sign: str, angle: float) -> None:
    found = worked(ALIGNMENT, FOUR | {"thrust_sign": sign})
    figure = figure_of(found, "thrust_angle")

    assert degrees(figure) == pytest.approx(angle)
    assert f"positive to the {sign}" in figure.name
    assert "+0.07° positive to the right, −0.07° positive to the left" in figure.reason
    assert any("By the other sign" in note for note in found.notes)
    assert "thrust 0.07° to the right" in found.says
    assert "left rear wheel toes in more" in says(found)


def test_the_total_of_each_axle_is_kept_at_the_axle() -> None:
    specified = {"total_toe_specified/front": KnownFigure(to_si(0.2, "deg"), "deg", "demo")}
    known = Known(limits={"total_toe/rear": limit(0.1, 0.2)}, figures=specified)
    found = worked(ALIGNMENT, FOUR | {"thrust_sign": "right"}, known)

    front, rear = (figure_of(found, "total_toe", axle) for axle in ("front", "rear"))
    assert [degrees(front), degrees(rear)] == pytest.approx([0.17, 0.26])
    assert front.keep
    assert front.allowed is not None
    assert rear.allowed is None
    assert [(f.tone, f.position) for f in found.findings if "otal toe" in f.says] == [
        ("bad", "rear"),
        ("good", "front"),
    ]


def test_a_thrust_angle_beyond_its_limit_points_to_the_rear() -> None:
    known = Known(limits={"thrust_angle": limit(-0.05, 0.05)})
    found = worked(ALIGNMENT, FOUR | {"thrust_sign": "left"}, known)
    assert found.findings[0].tone == "bad"
    assert "shifted axle" in says(found)


def test_crosses_are_judged_by_half_a_degree_where_the_pages_give_none() -> None:
    typed = wheels(LF_camber="-0.5", RF_camber="0.0", LF_caster="3.0", RF_caster="3.6")
    found = worked(ALIGNMENT, typed | {"thrust_sign": "right"})

    camber = figure_of(found, "cross_camber", "front")
    caster = figure_of(found, "cross_caster", "front")
    assert [degrees(camber), degrees(caster)] == pytest.approx([-0.5, -0.6])
    assert camber.allowed is not None
    assert "common practice" in camber.allowed.source
    tones = {f.says.split(":")[0]: f.tone for f in found.findings}
    assert tones == {"Cross camber": "near", "Cross caster": "bad"}
    assert "here the left" in says(found)

    known = Known(limits={"cross_caster/front": limit(-1, 1)})
    looser = worked(ALIGNMENT, typed | {"thrust_sign": "right"}, known)
    assert figure_of(looser, "cross_caster", "front").allowed is None


@pytest.mark.parametrize(
    ("typed", "pull"),
    [
        (wheels(LF_camber="0.3", RF_camber="-0.4"), "more camber, here the left"),
        (wheels(LF_camber="-0.4", RF_camber="0.3"), "more camber, here the right"),
        (wheels(LF_caster="4.0", RF_caster="3.0"), "less caster, here the right"),
        (wheels(LF_caster="3.0", RF_caster="4.0"), "less caster, here the left"),
    ],
)
def test_a_car_pulls_to_more_camber_and_less_caster(typed: dict[str, str], pull: str) -> None:
    """Common practice, no source."""
    assert pull in says(worked(ALIGNMENT, typed | {"thrust_sign": "right"}))


def test_single_wheels_are_kept_where_the_pages_judge_them() -> None:
    known = Known(limits={"wheel_camber/LR": limit(-1.5, -0.5)})
    typed = wheels(LR_camber="-1.9", RR_camber="-1.0") | {"thrust_sign": "right"}
    found = worked(ALIGNMENT, typed, known)
    assert figure_of(found, "wheel_camber", "LR").keep
    assert not figure_of(found, "wheel_camber", "RR").keep
    assert [f.tone for f in found.findings if f.position == "LR"] == ["bad"]


def test_angles_that_are_as_set_are_told_once_for_all() -> None:
    known = Known(limits={"wheel_camber/LR": limit(-1.5, -0.5), "wheel_camber/RR": limit(-2, 0)})
    typed = wheels(LR_camber="-1.9", RR_camber="-1.0") | {"thrust_sign": "right"}
    found = worked(ALIGNMENT, typed, known)
    assert [f.tone for f in found.findings] == ["bad", "bad", "good"]
    assert found.findings[-1].says.startswith("Camber and caster are as set")


def test_the_included_angle_parts_a_bent_upright_from_a_moved_subframe() -> None:
    bent = wheels(LF_sai="13.0", RF_sai="13.0", LF_camber="-0.5", RF_camber="0.6")
    moved = wheels(LF_sai="13.0", RF_sai="11.9", LF_camber="-0.5", RF_camber="0.6")
    sign = {"thrust_sign": "right"}

    first, second = worked(ALIGNMENT, bent | sign), worked(ALIGNMENT, moved | sign)

    assert degrees(figure_of(first, "included_angle", "LF")) == pytest.approx(12.5)
    assert "bent upright" in says(first)
    assert "has moved" in says(second)
    assert second.table is not None
    assert second.table.rows[0] == ("Left front", "−0.50°", "+13.00°", "+12.50°")


def test_the_car_is_drawn_from_above_with_its_toes_larger() -> None:
    (chart,) = worked(ALIGNMENT, FOUR | {"thrust_sign": "right"}).charts
    assert chart.square
    assert "50 times" in chart.says
    lines = {layer.name: layer for layer in chart.layers if layer.kind == "line" and layer.name}
    (_, (x, _)) = lines["Thrust"].points
    assert x > 0  # to the right
    assert not worked(ALIGNMENT, wheels(LF_camber="1") | {"thrust_sign": "right"}).charts


def test_straight_wheels_are_drawn_without_a_thrust() -> None:
    zero = wheels(LF_toe="0", RF_toe="0", LR_toe="0", RR_toe="0") | {"thrust_sign": "right"}
    found = worked(ALIGNMENT, zero)
    assert "no thrust angle" in found.says
    assert "Thrust" not in [layer.name for layer in found.charts[0].layers]


@given(
    toes=st.lists(st.integers(-200, 200), min_size=4, max_size=4),
    turned=st.integers(-100, 100),
)
def test_a_turned_steering_wheel_and_swapped_sides(toes: list[int], turned: int) -> None:
    """Total toe stays while the wheel is turned; changing sides turns the thrust angle round."""
    lf, rf, lr, rr = (toe / 100 for toe in toes)
    turn = turned / 100

    def found(*angles: float) -> Outcome:
        texts = [f"{angle:.2f}" for angle in angles]
        typed = dict(zip(("LF_toe", "RF_toe", "LR_toe", "RR_toe"), texts, strict=True))
        return worked(ALIGNMENT, wheels(**typed) | {"thrust_sign": "right"})

    straight, other = found(lf, rf, lr, rr), found(lf + turn, rf - turn, rr, lr)
    assert figure_of(straight, "total_toe", "front").value == pytest.approx(
        figure_of(other, "total_toe", "front").value, abs=1e-12
    )
    thrust = figure_of(straight, "thrust_angle").value
    assert thrust == pytest.approx(-figure_of(other, "thrust_angle").value, abs=1e-12)


def test_no_angle_at_all_is_refused() -> None:
    with pytest.raises(InputError):
        ALIGNMENT.work_out(read_typed((ALIGNMENT.fields[1],), {"thrust_sign": "right"}), Known())


# ---- caster and side slip ----


def test_caster_is_worked_out_from_the_sweep() -> None:
    typed = wheels(left_out="1.5", left_in="-1.5", right_out="1.2", right_in="-1.2")
    found = worked(CASTER_SWEEP, typed | {"sweep": "20"}, FRONT)

    assert degrees(figure_of(found, "wheel_caster", "LF")) == pytest.approx(4.39, abs=0.005)
    assert degrees(figure_of(found, "cross_caster")) == pytest.approx(0.6 * 1.4619, abs=1e-4)
    assert found.findings[0].tone == "bad"
    assert "here the right" in says(found)
    assert any("1.462" in note for note in found.notes)

    known = Known(position="front", limits={"wheel_caster/LF": limit(3.0, 4.5)})
    one = worked(CASTER_SWEEP, wheels(left_out="1.5", left_in="-1") | {"sweep": "20"}, known)
    assert [f.tone for f in one.findings] == ["good"]


def test_side_slip_is_judged_by_the_maker_s_toe_and_else_by_common_practice() -> None:
    plain = worked(SIDE_SLIP, {"slip": "5.1"}, FRONT)
    by_toe = worked(SIDE_SLIP, {"slip": "5.1", "specified": "0.2"}, FRONT)
    feet = worked(SIDE_SLIP, {"slip": "26.2", "slip-unit": "ft/mi"}, FRONT)

    assert plain.findings[0].tone == "bad"
    assert "does not show it" in says(plain)
    allowed = figure_of(by_toe, "side_slip").allowed
    assert allowed is not None
    assert allowed.high == pytest.approx(math.radians(0.3), rel=1e-5)
    assert by_toe.findings[0].tone == "near"  # inside, in the last tenth
    # 1/8 in over 25.2 in by the table of 570.7(d).
    assert figure_of(feet, "total_toe").value == pytest.approx(0.125 / 25.2, rel=2e-3)


def test_two_plates_are_added_and_the_tyre_gives_a_length() -> None:
    typed = {"slip": "2", "slip_right": "1.5", "tyre": "185/65 R15"}
    found = worked(SIDE_SLIP, typed, FRONT)
    assert figure_of(found, "side_slip").value == pytest.approx(0.0035)
    assert figure_of(found, "total_toe_length").value == pytest.approx(0.0035 * 0.6215, rel=1e-4)
    with pytest.raises(InputError) as refused:
        worked(SIDE_SLIP, {"slip": "2", "tyre": "large"}, FRONT)
    assert refused.value.field == "tyre"


def test_the_pages_limit_for_side_slip_comes_first() -> None:
    own = KnownLimit(Limit(to_si(-3, "m/km"), to_si(3, "m/km"), "m/km"), "demo figure")
    found = worked(SIDE_SLIP, {"slip": "4"}, Known(position="front", limits={"side_slip": own}))
    assert figure_of(found, "side_slip").allowed is None
    assert found.findings[0].tone == "bad"


# ---- words ----


@pytest.mark.parametrize(
    ("angle", "sign", "minutes"),
    [
        (0.15, "+0.15°", "0°09′"),
        (-0.15, "−0.15°", "−0°09′"),
        (0.0, "0.00°", "0°00′"),
        (-0.001, "0.00°", "0°00′"),
        (1.9999, "+2.00°", "2°00′"),
        (1 / 3, "+0.33°", "0°20′"),
    ],
)
def test_angles_are_written_with_sign_and_in_minutes(angle: float, sign: str, minutes: str) -> None:
    value = to_si(angle, "deg")
    assert (signed(value), in_minutes(value)) == (sign, minutes)
    assert both(value) == f"{sign} ({minutes})"


def test_a_difference_stands_on_its_limit() -> None:
    difference = to_si(-0.1, "deg") - to_si(-0.6, "deg")
    assert clean(difference) == to_si(0.5, "deg")


def test_every_kind_says_its_purpose_and_cautions() -> None:
    for kind in KINDS:
        assert kind.purpose.endswith(".")
        assert kind.cautions
