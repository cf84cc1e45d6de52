"""Discs as they are typed: thickness, run-out, and disc and hub together."""

from __future__ import annotations

import math

import pytest

from diagnostics.compute.verdict import VerdictKind, judge
from diagnostics.measurements.disc_hub import DISC_ON_HUB
from diagnostics.measurements.discs import DISC_RUN_OUT, DISC_THICKNESS, KINDS
from diagnostics.measurements.known import Known, KnownFigure
from shop.charting import Bars, Dots
from tests.diagnostics.measurements.brakes_typed import (
    at_least,
    at_most,
    figure,
    refusal,
    says,
    series,
    tones,
    wave,
    worked,
)
from tests.reference import rows

LIMITS = {
    "disc_runout": at_most(6e-5, "mm", 5e-6),
    "disc_thickness": at_least(0.022, "mm"),
    "disc_thickness_variation": at_most(1.3e-5, "mm"),
    "hub_runout": at_most(6.5e-5, "mm"),
}
KNOWN = Known(position="LF", limits=LIMITS, figures={"wheel_bolts": KnownFigure(5, "count", "d")})
THICKNESS = rows("disc_thickness")[0]["readings_mm"]
CASE_A = rows("disc_runout")[0]["readings_mm"]


def test_all_are_measured_at_a_wheel_and_carry_cautions() -> None:
    assert {kind.place for kind in KINDS} == {"wheel"}
    assert all(any("dust" in caution for caution in kind.cautions) for kind in KINDS)


# ---- thickness ----


def test_the_published_thicknesses_vary_by_11_micrometres_and_are_thinnest_at_135_degrees() -> None:
    found = worked(DISC_THICKNESS, series("thickness", THICKNESS), KNOWN)

    assert figure(found, "disc_thickness_variation").value == 1.1e-05
    assert figure(found, "disc_thickness").value == 0.024004
    assert figure(found, "disc_thickness").keep
    assert "135° from the start mark" in says(found)
    assert tones(found) == ["good"]


def test_a_thin_and_uneven_disc_is_told_worst_first_and_what_it_does_not_show() -> None:
    found = worked(DISC_THICKNESS, series("thickness", "21.99 22.02 22.03 22.02"), KNOWN)

    assert tones(found) == ["bad", "bad"]
    assert "below 22.000 mm" in says(found)
    assert "measure run-out and hub before" in says(found)


def test_without_limits_the_thickness_is_told_and_not_judged() -> None:
    found = worked(DISC_THICKNESS, series("thickness", THICKNESS))
    assert not found.findings
    assert figure(found, "disc_thickness").allowed is None


@pytest.mark.parametrize(
    ("texts", "field"),
    [("24.0 24.0 24.0", "thickness"), ("24.0 24.0 24.0 -1", "thickness-4")],
)
def test_thickness_refuses_three_points_and_a_negative_one(texts: str, field: str) -> None:
    assert field in refusal(DISC_THICKNESS, series("thickness", texts))
    assert worked(DISC_THICKNESS, series("thickness", "24.0 24.0 24.0 24.0"))


# ---- run-out ----


def test_run_out_exactly_on_the_limit_is_near_and_not_outside() -> None:
    found = worked(DISC_RUN_OUT, series("readings", CASE_A), KNOWN)
    run_out = figure(found, "disc_runout")

    assert run_out.value == 6e-05
    assert judge(run_out.value, LIMITS["disc_runout"].limit).kind is VerdictKind.NEAR
    assert math.degrees(figure(found, "disc_runout_high_spot").value) == pytest.approx(90)
    assert figure(found, "disc_runout_harmonic").value * 1000 == pytest.approx(0.059698, abs=5e-7)
    assert tones(found) == ["near"]


def test_too_much_run_out_names_the_first_remedy() -> None:
    found = worked(DISC_RUN_OUT, wave("readings", 0.05, 200), KNOWN)
    assert "clean rust off the hub flange" in says(found)
    assert "another bolt position" in says(found)
    assert tones(found) == ["bad"]


def test_readings_that_are_no_smooth_wave_are_said_to_be_none() -> None:
    rough = "0.00 0.03 0.01 0.05 0.00 0.06 0.01 0.03"
    found = worked(DISC_RUN_OUT, series("readings", rough), KNOWN)
    assert "not one smooth wave" in says(found)
    twice = "0.02 0.00 -0.02 0.00 0.02 0.00 -0.02 0.00"
    found = worked(DISC_RUN_OUT, series("readings", twice), KNOWN)
    assert "twice a turn" in says(found)
    assert "no high spot" in found.says


def test_thickness_variation_is_said_to_read_as_run_out() -> None:
    typed = series("readings", CASE_A) | {"thickness_variation": "0.03"}
    found = worked(DISC_RUN_OUT, typed, KNOWN)
    assert "Up to 0.030 mm of this may be thickness" in says(found)


def test_the_face_shows_the_high_spot_a_quarter_turn_clockwise() -> None:
    found = worked(DISC_RUN_OUT, series("readings", CASE_A), KNOWN)
    (face,) = [chart for chart in found.charts if chart.square]
    (high,) = [x for x in face.layers if isinstance(x, Dots) and x.name == "High spot"]
    (bolts,) = [x for x in face.layers if isinstance(x, Dots) and x.name == "Bolts"]
    assert high.points[0] == pytest.approx((1.22, 0), abs=1e-9)
    assert len(bolts.points) == 5


@pytest.mark.parametrize("count", [7, 9, 10, 11])
def test_run_out_takes_eight_or_twelve_readings_only(count: int) -> None:
    assert "readings" in refusal(DISC_RUN_OUT, series("readings", "0.01 " * count))
    assert worked(DISC_RUN_OUT, series("readings", "0.01 " * 8)).says


def test_inches_are_read_as_inches() -> None:
    typed = series("readings", "0 0.001 0.002 0.001 0 0 0 0") | {"readings-unit": "in"}
    assert figure(worked(DISC_RUN_OUT, typed), "disc_runout").value == 5.08e-05


# ---- disc and hub ----


def _on_hub(where: str, *, disc: float = 0.040, hub: float = 0.030) -> dict[str, str]:
    readings = wave("disc", disc, 30) | wave("hub", hub, 150)
    return readings | {"disc_where": where, "bolts": "5"}


def test_the_published_disc_and_hub_make_0_0721_and_the_best_of_five_is_found() -> None:
    """Together 0.0721 [C]; the five positions by the law of cosines."""
    found = worked(DISC_ON_HUB, _on_hub("alone"), KNOWN)
    (bars,) = [x for chart in found.charts for x in chart.layers if isinstance(x, Bars)]
    expected = [
        2 * math.sqrt(0.0016 + 0.0009 + 0.0024 * math.cos(math.radians(72 * step - 120)))
        for step in range(5)
    ]

    assert [value for _label, value in bars.bars] == pytest.approx(expected, abs=6e-4)
    assert bars.bars[0][1] == 0.072
    assert figure(found, "disc_runout_expected").value * 1000 == pytest.approx(
        min(expected), abs=1e-4
    )
    assert bars.roles.index("good") == expected.index(min(expected)) == 4
    assert "Turned 1 bolt back" in found.says
    assert found.table is not None
    assert [row[0] for row in found.table.rows] == [
        "as it is",
        "1 bolt on",
        "2 bolts on",
        "2 bolts back",
        "1 bolt back (least)",
    ]


def test_read_on_the_car_the_discs_own_run_out_is_the_difference_of_the_arrows() -> None:
    on_car = _on_hub("on_car")
    # What the dial shows on the car is disc and hub together.
    summed = {
        key: f"{float(on_car[key]) + float(on_car[key.replace('disc', 'hub')]):.5f}"
        for key in on_car
        if key.startswith("disc-")
    }
    found = worked(DISC_ON_HUB, on_car | summed, KNOWN)
    alone = worked(DISC_ON_HUB, _on_hub("alone"), KNOWN)

    own = figure(found, "disc_own_runout").value
    assert own * 1000 == pytest.approx(0.080, abs=1e-4)
    assert figure(found, "disc_runout_expected").value == pytest.approx(
        figure(alone, "disc_runout_expected").value, abs=1e-8
    )
    assert figure(found, "disc_runout").keep
    assert not [one for one in alone.figures if one.quantity == "disc_runout"]
    assert "hold the hub’s run-out" in says(found)
    assert "read by itself" in says(alone)


def test_the_hubs_lean_counts_for_more_on_the_discs_larger_circle() -> None:
    circles = {"hub_circle": "130", "disc_circle": "260"}
    typed = _on_hub("alone", disc=0.040, hub=0.015) | circles
    found = worked(DISC_ON_HUB, typed, KNOWN)
    plain = worked(DISC_ON_HUB, _on_hub("alone"), KNOWN)
    assert figure(found, "disc_runout_expected").value == pytest.approx(
        figure(plain, "disc_runout_expected").value, abs=2e-8
    )
    assert "0.060 mm once per turn" in says(found)
    del circles["hub_circle"]
    assert "hub_circle" in refusal(DISC_ON_HUB, _on_hub("alone") | circles)


def test_a_gain_that_the_dial_cannot_tell_is_left_alone() -> None:
    found = worked(DISC_ON_HUB, _on_hub("alone", disc=0.020, hub=0.001), KNOWN)
    assert "leave it there" in says(found)
    assert tones(found) == ["good"]


def test_when_no_position_is_good_enough_it_says_where_to_look() -> None:
    found = worked(DISC_ON_HUB, _on_hub("alone", disc=0.150, hub=0.040), KNOWN)
    assert "No bolt position" in says(found)
    assert "The hub flange itself runs out by" in says(found)
    assert tones(found) == ["bad", "bad"]


@pytest.mark.parametrize("bolts", ["2", "11", "4.5", ""])
def test_it_refuses_wheels_that_there_are_not(bolts: str) -> None:
    assert "bolts" in refusal(DISC_ON_HUB, _on_hub("alone") | {"bolts": bolts})
    assert worked(DISC_ON_HUB, _on_hub("alone") | {"bolts": "4"}).table


def test_a_page_with_a_slip_in_the_number_of_bolts_draws_no_bolts() -> None:
    typed = {f"readings-{number}": f"0.0{number % 4}" for number in range(1, 9)}
    for bolts, shown in ((5.0, True), (5e12, False)):
        known = Known(figures={"wheel_bolts": KnownFigure(bolts, "count", "a sheet")})
        names = [layer.name for layer in worked(DISC_RUN_OUT, typed, known).charts[1].layers]
        assert any("olt" in name for name in names) is shown
