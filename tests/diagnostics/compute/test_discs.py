"""Run-out, thickness and disc on hub: against published rows, NumPy's transform, and geometry."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.compute.discs import (
    Lean,
    best_of,
    bolt_positions,
    lean_of,
    run_out,
    scaled,
    thickness_round,
    together,
    without,
)
from tests.reference import named, rows

MM = 1e-3
TURN = 2 * math.pi


def _metres(text: str) -> list[float]:
    return [float(one) / 1000 for one in text.split()]


def _half_last_place(text: str) -> float:
    return 0.5000001 * 10.0 ** -len(text.partition(".")[2])


def _same_direction(one: float, other: float, within: float = 1e-6) -> bool:
    return abs(cmath.phase(cmath.rect(1, one - other))) < within


dial = st.one_of(
    st.lists(st.floats(-0.5, 0.5), min_size=8, max_size=8),
    st.lists(st.floats(-0.5, 0.5), min_size=12, max_size=12),
).map(lambda found: [one * MM for one in found])


@pytest.mark.parametrize("row", rows("disc_runout"), ids=lambda row: named(row, "case"))
def test_a_published_row_of_dial_readings_comes_out(row: dict[str, str]) -> None:
    found = run_out(_metres(row["readings_mm"]))

    for column, value in (
        ("mean", found.mean),
        ("cosine", found.cosine),
        ("sine", found.sine),
        ("amplitude", found.amplitude),
        ("once_per_turn", found.once_per_turn),
        ("total", found.total),
        ("rms", found.waviness),
    ):
        within = 5.1e-7 if row[column] == "0" else _half_last_place(row[column])
        assert value / MM == pytest.approx(float(row[column]), abs=within), column
    assert found.high_spot is not None
    assert math.degrees(found.high_spot) == pytest.approx(
        float(row["high_spot_deg"]), abs=_half_last_place(row["high_spot_deg"])
    )


@given(readings=dial)
def test_it_is_the_first_term_of_numpys_fourier_transform(readings: list[float]) -> None:
    found = run_out(readings)

    terms = np.fft.rfft(np.array(readings)) * 2 / len(readings)

    assert found.mean == pytest.approx(float(terms[0].real) / 2, abs=1e-12)
    assert found.amplitude == pytest.approx(abs(terms[1]), abs=1e-12)
    assert found.second == pytest.approx(abs(terms[2]), abs=1e-12)
    if found.amplitude > 1e-6:
        assert found.high_spot is not None
        assert _same_direction(found.high_spot, -float(np.angle(terms[1])))


@given(readings=dial, zero=st.floats(-1, 1))
def test_zeroing_the_dial_elsewhere_moves_only_the_mean(readings: list[float], zero: float) -> None:
    found, moved = run_out(readings), run_out([one + zero * MM for one in readings])

    assert moved.mean == pytest.approx(found.mean + zero * MM, abs=1e-12)
    assert moved.amplitude == pytest.approx(found.amplitude, abs=1e-12)
    assert moved.total == pytest.approx(found.total, abs=1.1e-12)
    assert moved.waviness == pytest.approx(found.waviness, abs=1e-12)
    if found.amplitude > 1e-6:
        assert moved.high_spot is not None
        assert found.high_spot is not None
        assert _same_direction(moved.high_spot, found.high_spot)


@given(readings=dial, start=st.integers(0, 11))
def test_another_start_point_turns_only_the_high_spot(readings: list[float], start: int) -> None:
    start %= len(readings)
    found, turned = run_out(readings), run_out(readings[start:] + readings[:start])

    assert turned.mean == pytest.approx(found.mean, abs=1e-12)
    assert turned.amplitude == pytest.approx(found.amplitude, abs=1e-12)
    assert turned.total == found.total
    assert turned.second_share == pytest.approx(found.second_share, abs=1e-6)
    if found.amplitude > 1e-6:
        assert found.high_spot is not None
        assert turned.high_spot is not None
        back = found.high_spot - TURN * start / len(readings)
        assert _same_direction(turned.high_spot, back)


@given(readings=dial, by=st.floats(0.1, 10))
def test_scaling_the_readings_scales_the_run_out(readings: list[float], by: float) -> None:
    found, larger = run_out(readings), run_out([one * by for one in readings])

    assert larger.amplitude == pytest.approx(found.amplitude * by, abs=1e-12)
    assert larger.waviness == pytest.approx(found.waviness * by, abs=1e-12)
    assert larger.total == pytest.approx(found.total * by, abs=1.1e-11)


@given(readings=dial)
def test_the_parts_add_up_to_the_readings(readings: list[float]) -> None:
    found = run_out(readings)
    for fitted, left, one in zip(found.fitted, found.left_over, readings, strict=True):
        assert fitted + left == pytest.approx(one, abs=1e-15)
    # Parseval: the mean square of the readings is that of the mean, the sine and what is left.
    square = math.fsum(one * one for one in readings) / len(readings)
    parts = found.mean**2 + found.amplitude**2 / 2 + found.waviness**2
    assert parts == pytest.approx(square, rel=1e-9, abs=1e-20)


def test_a_disc_that_waves_twice_a_turn_is_all_second_harmonic() -> None:
    found = run_out([0.02 * MM * math.cos(2 * TURN * k / 8) for k in range(8)])

    assert found.amplitude < 1e-12
    assert found.high_spot is None
    assert found.second / MM == pytest.approx(0.02)
    assert found.second_share == pytest.approx(1)


def test_equal_readings_have_no_run_out_and_no_high_spot() -> None:
    found = run_out([0.031 * MM] * 12)
    assert found.total == 0
    assert found.high_spot is None
    assert found.second_share == 0


def test_a_total_exactly_on_a_limit_is_found_exactly_there() -> None:
    readings = [0.020, 0.03, 0.05, 0.08, 0.07, 0.06, 0.04, 0.03]
    assert run_out([one / 1000 for one in readings]).total == 6e-05
    assert 0.08 / 1000 - 0.02 / 1000 != 6e-05


@pytest.mark.parametrize("readings", [[0.0] * 7, [0.0] * 7 + [math.nan], [0.0] * 7 + [math.inf]])
def test_run_out_refuses_what_is_no_set_of_readings(readings: list[float]) -> None:
    with pytest.raises(ValueError, match="reading"):
        run_out(readings)
    assert run_out([0.0] * 8).total == 0


# ---- thickness ----


@pytest.mark.parametrize("row", rows("disc_thickness"), ids=lambda row: named(row, "variation_mm"))
def test_a_published_thickness_variation_comes_out(row: dict[str, str]) -> None:
    found = thickness_round(_metres(row["readings_mm"]))
    assert found.variation == float(row["variation_mm"]) / 1000
    assert found.least == 0.024004
    assert [math.degrees(angle) for angle in found.thinnest] == [135]


@given(thickness=st.lists(st.floats(1, 60), min_size=4, max_size=12))
def test_thickness_lies_between_its_least_and_its_most(thickness: list[float]) -> None:
    found = thickness_round([one * MM for one in thickness])
    assert found.least <= found.mean + 1e-12 <= found.most + 2e-12
    assert found.variation == pytest.approx(found.most - found.least, abs=1e-12)
    assert 1 <= len(found.thinnest) <= len(thickness)


@pytest.mark.parametrize("readings", [[0.024] * 3, [0.024] * 13, [0.024] * 3 + [0.0]])
def test_thickness_refuses_too_few_too_many_and_nought(readings: list[float]) -> None:
    with pytest.raises(ValueError, match=r"points|above zero"):
        thickness_round(readings)
    assert thickness_round([0.024] * 4).variation == 0


# ---- disc and hub ----

lean = st.builds(Lean, st.floats(0, 0.2).map(lambda one: one * MM), st.floats(0, TURN))


@pytest.mark.parametrize("row", rows("disc_on_hub"), ids=lambda row: named(row, "together_mm"))
def test_the_published_sum_of_disc_and_hub_comes_out(row: dict[str, str]) -> None:
    disc = Lean(float(row["disc_mm"]) * MM, math.radians(float(row["disc_deg"])))
    hub = Lean(float(row["hub_mm"]) * MM, math.radians(float(row["hub_deg"])))

    found = together(disc, hub)

    for column, value in (
        ("together_mm", found.amplitude / MM),
        ("together_deg", math.degrees(found.angle)),
        ("total_mm", found.total / MM),
    ):
        assert value == pytest.approx(float(row[column]), abs=_half_last_place(row[column]))


@given(disc=lean, hub=lean)
def test_what_the_hub_adds_can_be_taken_away_again(disc: Lean, hub: Lean) -> None:
    back = without(together(disc, hub), hub)
    assert back.amplitude == pytest.approx(disc.amplitude, abs=1e-12)
    if disc.amplitude > 1e-6:
        assert _same_direction(back.angle, disc.angle)


@given(disc=lean, hub=lean, bolts=st.integers(1, 12))
def test_no_bolt_position_beats_the_difference_or_the_best_of_a_search(
    disc: Lean, hub: Lean, bolts: int
) -> None:
    positions = bolt_positions(disc, hub, bolts)

    best = best_of(positions).together.amplitude

    assert len(positions) == bolts
    assert positions[0].together.amplitude == together(disc, hub).amplitude
    # Law of cosines, position by position.
    by_cosines = [
        math.sqrt(
            max(
                0.0,
                disc.amplitude**2
                + hub.amplitude**2
                + 2
                * disc.amplitude
                * hub.amplitude
                * math.cos(disc.angle + TURN * step / bolts - hub.angle),
            )
        )
        for step in range(bolts)
    ]
    for one, other in zip(positions, by_cosines, strict=True):
        assert one.together.amplitude == pytest.approx(other, abs=1e-10)
    assert best == pytest.approx(min(by_cosines), abs=2e-10)
    assert best >= abs(disc.amplitude - hub.amplitude) - 1e-10


@given(bolts=st.integers(3, 6), step=st.integers(0, 5))
def test_what_the_search_foresees_is_what_the_dial_shows_after_turning(
    bolts: int, step: int
) -> None:
    """A disc and a hub as surfaces: lay the readings over each other, turned, and fit again."""
    assume(step < bolts)
    count = bolts * 4
    disc = [0.03 * MM * math.cos(TURN * k / count - 0.7) for k in range(count)]
    hub = [0.02 * MM * math.cos(TURN * k / count - 4.0) for k in range(count)]
    on = step * 4
    seen = [disc[(k - on) % count] + hub[k] for k in range(count)]

    foreseen = bolt_positions(lean_of(run_out(disc)), lean_of(run_out(hub)), bolts)[step]

    measured = run_out(seen)
    assert foreseen.together.amplitude == pytest.approx(measured.amplitude, abs=1e-12)
    assert measured.high_spot is not None
    assert _same_direction(foreseen.together.angle, measured.high_spot)


def test_of_equal_positions_the_one_without_turning_is_best() -> None:
    assert best_of(bolt_positions(Lean(0.03 * MM, 1.0), Lean(0.0, 0.0), 5)).step == 0


def test_run_out_grows_with_the_diameter_it_is_seen_on() -> None:
    found = scaled(Lean(0.02 * MM, 1.0), 0.130, 0.260)
    assert found.amplitude == pytest.approx(0.04 * MM)
    assert found.angle == 1.0
    with pytest.raises(ValueError, match="diameter"):
        scaled(Lean(0.02 * MM, 1.0), 0.0, 0.260)


@pytest.mark.parametrize("bolts", [0, 13, -1])
def test_it_refuses_a_wheel_without_bolts(bolts: int) -> None:
    with pytest.raises(ValueError, match="bolts"):
        bolt_positions(Lean(0.0, 0.0), Lean(0.0, 0.0), bolts)
    assert len(bolt_positions(Lean(0.0, 0.0), Lean(0.0, 0.0), 1)) == 1
