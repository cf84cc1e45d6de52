"""Verdicts. The decision rule is that of ISO 14253-1 [M]; the last tenth is the product's own."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.compute.verdict import (
    OVER_RANGE,
    Condition,
    Limit,
    Measured,
    VerdictKind,
    judge,
    limit_in_words,
    not_noted,
)
from shop.units import to_si

WITHIN, NEAR, OUTSIDE, NOT_JUDGED = VerdictKind

COIL = Limit(1300.0, 1700.0, "kohm", uncertainty=15.0)
RUN_OUT = Limit(None, 0.0001, "mm", uncertainty=0.00001)
BATTERY = Limit(12.4, None, "V", uncertainty=0.05)
AT_20 = Condition("temperature", "at 20 °C", low=288.15, high=298.15, unit="degC", correctable=True)
RUNNING = Condition("engine", "with the engine running", needs="running")


@pytest.mark.parametrize(
    ("measured", "limit", "kind", "said"),
    [
        (1500.0, COIL, WITHIN, "Within: 1.5\u00a0kΩ is between 1.3\u00a0kΩ and 1.7\u00a0kΩ."),
        (1660.0, COIL, WITHIN, "Within: 1.66\u00a0kΩ is between 1.30\u00a0kΩ and 1.70\u00a0kΩ."),
        (1661.0, COIL, NEAR, "in the last tenth of the range before the high limit"),
        (1339.0, COIL, NEAR, "in the last tenth of the range before the low limit"),
        (1690.0, COIL, NEAR, "by less than the tool's uncertainty, 0.015\u00a0kΩ."),
        (1700.0, COIL, NEAR, "exactly on the high limit"),
        (1300.0, COIL, NEAR, "exactly on the low limit"),
        (1705.0, COIL, OUTSIDE, "just above 1.700\u00a0kΩ. That is less than the tool's"),
        (1800.0, COIL, OUTSIDE, "Outside: 1.8\u00a0kΩ is above 1.7\u00a0kΩ."),
        (41200.0, COIL, OUTSIDE, "Outside: 41.2\u00a0kΩ is far above 1.7\u00a0kΩ."),
        (100.0, COIL, OUTSIDE, "Outside: 0.1\u00a0kΩ is far below 1.3\u00a0kΩ."),
        (OVER_RANGE, COIL, OUTSIDE, "over range (an open circuit), which is above 1.7\u00a0kΩ."),
        (0.00005, RUN_OUT, WITHIN, "Within: 0.05\u00a0mm is below 0.10\u00a0mm."),
        (0.000095, RUN_OUT, NEAR, "tool's uncertainty, 0.01\u00a0mm."),
        (0.00012, RUN_OUT, OUTSIDE, "Outside: 0.12\u00a0mm is above 0.10\u00a0mm."),
        (0.00025, RUN_OUT, OUTSIDE, "far above"),
        (12.6, BATTERY, WITHIN, "Within: 12.6\u00a0V is above 12.4\u00a0V."),
        (12.42, BATTERY, NEAR, "Near: 12.42\u00a0V is inside the low limit, 12.40\u00a0V"),
        (11.9, BATTERY, OUTSIDE, "Outside: 11.9\u00a0V is below 12.4\u00a0V."),
        (OVER_RANGE, BATTERY, WITHIN, "nothing limits it from above"),
    ],
)
def test_a_reading_is_judged_and_the_reason_stands_alone(
    measured: Measured, limit: Limit, kind: VerdictKind, said: str
) -> None:
    verdict = judge(measured, limit)

    assert verdict.kind is kind
    assert said in verdict.reason
    assert verdict.reason.lower().startswith(kind.word)
    assert verdict.reason.endswith(".")


@pytest.mark.parametrize("measured", [None, math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_judged(measured: float | None) -> None:
    verdict = judge(measured, COIL)

    assert verdict.kind is NOT_JUDGED
    assert "no number was read" in verdict.reason


@pytest.mark.parametrize("limit", [None, Limit(None, None, "kohm")])
def test_without_a_limit_nothing_is_judged_and_it_says_what_is_missing(limit: Limit | None) -> None:
    for measured in (1500.0, OVER_RANGE):
        verdict = judge(measured, limit)
        assert verdict.kind is NOT_JUDGED
        assert "no limit is known" in verdict.reason


def test_the_distance_is_positive_inside_and_negative_outside() -> None:
    assert judge(1500.0, COIL).how_far == 200.0
    assert judge(1400.0, COIL).how_far == 100.0
    assert judge(1400.0, COIL).side == "low"
    assert judge(1750.0, COIL).how_far == -50.0
    assert judge(1750.0, COIL).side == "high"
    assert judge(OVER_RANGE, COIL).how_far is None
    assert judge(None, COIL).how_far is None


def test_a_reading_outside_by_less_than_the_uncertainty_is_doubtful() -> None:
    assert judge(1705.0, COIL).doubtful
    assert not judge(1715.0, COIL).doubtful
    assert not judge(1705.0, COIL, uncertainty=1.0).doubtful
    assert not judge(1690.0, COIL).doubtful


def test_the_tool_really_used_decides_what_is_near() -> None:
    assert judge(1600.0, COIL).kind is WITHIN
    assert judge(1600.0, COIL, uncertainty=150.0).kind is NEAR
    too_coarse = judge(1500.0, COIL, uncertainty=300.0)
    assert too_coarse.kind is NEAR
    assert "too coarse for the range 1.3 to 1.7" in too_coarse.reason


def test_a_margin_of_its_own_replaces_the_tenth_but_not_the_uncertainty() -> None:
    none = Limit(1300.0, 1700.0, "kohm", near_margin=0.0)
    assert judge(1690.0, none).kind is WITHIN
    assert judge(1690.0, none, uncertainty=15.0).kind is NEAR
    wide = Limit(None, 0.0001, "mm", near_margin=0.00003)
    assert judge(0.00008, wide).kind is NEAR
    assert "close to the high limit" in judge(0.00008, wide).reason
    assert judge(0.00006, wide).kind is WITHIN


def test_a_single_limit_has_no_last_tenth() -> None:
    assert judge(0.000099, Limit(None, 0.0001, "mm")).kind is WITHIN
    assert judge(0.0001, Limit(None, 0.0001, "mm")).kind is NEAR


def test_a_range_of_no_width_can_only_be_met_exactly() -> None:
    exactly = Limit(5.0, 5.0, "V")
    assert judge(5.0, exactly).kind is WITHIN
    assert judge(5.0, exactly, uncertainty=0.01).kind is NEAR
    assert judge(5.01, exactly).kind is OUTSIDE


def test_the_same_value_in_another_unit_is_judged_the_same() -> None:
    # 0.10 mm is the limit itself whichever way it is typed.
    assert judge(to_si(0.1, "mm"), RUN_OUT).how_far == 0
    assert judge(to_si(100, "um"), RUN_OUT).how_far == 0
    shown = judge(to_si(0.12, "mm"), RUN_OUT, unit="in").reason
    assert shown == "Outside: 0.004724\u00a0in is above 0.003937\u00a0in."


def test_different_numbers_never_look_the_same_in_a_sentence() -> None:
    assert "1.70001\u00a0kΩ is just above 1.70000\u00a0kΩ" in judge(1700.01, COIL).reason
    assert judge(1e-9, COIL).reason == "Outside: 0.000\u00a0kΩ is far below 1.300\u00a0kΩ."


# ---- conditions ----


def test_a_limit_whose_condition_was_not_noted_judges_nothing() -> None:
    warm = Limit(1300.0, 1700.0, "kohm", conditions=(AT_20,))
    verdict = judge(1500.0, warm)

    assert verdict.kind is NOT_JUDGED
    assert verdict.reason == "Not judged: the limit holds at 20 °C, and that was not noted."
    assert judge(1500.0, warm, observed={"temperature": 293.15}).kind is WITHIN


def test_a_limit_whose_condition_does_not_hold_judges_nothing() -> None:
    warm = Limit(1300.0, 1700.0, "kohm", conditions=(AT_20,))
    too_hot = judge(1500.0, warm, observed={"temperature": 333.15})

    assert too_hot.kind is NOT_JUDGED
    assert too_hot.reason == "Not judged: the limit holds at 20 °C, and it was 60\u00a0°C."
    assert judge(1500.0, warm, observed={"temperature": math.nan}).kind is NOT_JUDGED
    assert judge(1500.0, warm, observed={"temperature": "warm"}).kind is NOT_JUDGED
    assert judge(1500.0, warm, observed={"temperature": ""}).kind is NOT_JUDGED


def test_a_state_must_be_the_one_the_limit_needs() -> None:
    running = Limit(100_000.0, 200_000.0, "bar", conditions=(RUNNING,))

    assert judge(150_000.0, running).kind is NOT_JUDGED
    off = judge(150_000.0, running, observed={"engine": "off"})
    assert off.kind is NOT_JUDGED
    assert "with the engine running" in off.reason
    assert "“off”" in off.reason
    assert judge(150_000.0, running, observed={"engine": "running"}).kind is WITHIN
    assert judge(250_000.0, running, observed={"engine": "running"}).kind is OUTSIDE


def test_a_corrected_value_counts_as_taken_at_that_condition_and_says_so() -> None:
    warm = Limit(1300.0, 1700.0, "kohm", conditions=(AT_20,))
    note = "Measured 1.6\u00a0kΩ at 60\u00a0°C, brought to 20\u00a0°C."
    verdict = judge(1382.6, warm, observed={"temperature": 333.15}, corrected={"temperature": note})

    assert verdict.kind is WITHIN
    assert verdict.reason.endswith(note)


def test_an_open_circuit_is_open_at_any_temperature_but_not_in_any_state() -> None:
    both = Limit(1300.0, 1700.0, "kohm", conditions=(AT_20, RUNNING))

    assert judge(OVER_RANGE, both, observed={"engine": "running"}).kind is OUTSIDE
    assert judge(OVER_RANGE, both).kind is NOT_JUDGED


def test_over_range_is_an_open_circuit_only_for_a_resistance() -> None:
    assert "open circuit" not in judge(OVER_RANGE, Limit(None, 5.0, "V")).reason
    assert "open circuit" in judge(OVER_RANGE, Limit(None, 5.0, "ohm")).reason


# ---- invariants ----

BOUNDED = st.floats(min_value=-1e6, max_value=1e6)


@given(value=BOUNDED, low=BOUNDED, high=BOUNDED, uncertainty=st.floats(0, 1e4))
def test_outside_means_beyond_a_limit_and_nothing_else(
    value: float, low: float, high: float, uncertainty: float
) -> None:
    assume(low <= high)
    verdict = judge(value, Limit(low, high, "V", uncertainty=uncertainty))

    assert (verdict.kind is OUTSIDE) == (not low <= value <= high)
    assert verdict.how_far is not None
    assert (verdict.how_far < 0) == (verdict.kind is OUTSIDE)
    assert (low <= value - uncertainty and value + uncertainty <= high) or (
        verdict.kind is not WITHIN or math.isclose(verdict.how_far, uncertainty, rel_tol=1e-8)
    )


@given(value=BOUNDED, low=BOUNDED, high=BOUNDED)
def test_turned_upside_down_the_verdict_is_the_same_on_the_other_side(
    value: float, low: float, high: float
) -> None:
    assume(low < high)
    assume(value - low != high - value)
    one = judge(value, Limit(low, high, "V"))
    other = judge(-value, Limit(-high, -low, "V"))

    assert one.kind is other.kind
    assert one.how_far == other.how_far
    assert one.side != other.side


@given(value=BOUNDED, smaller=st.floats(0, 1e5), larger=st.floats(0, 1e5))
def test_a_coarser_tool_never_proves_more(value: float, smaller: float, larger: float) -> None:
    assume(smaller <= larger)
    limit = Limit(-1000.0, 1000.0, "V")

    if judge(value, limit, uncertainty=larger).kind is WITHIN:
        assert judge(value, limit, uncertainty=smaller).kind is WITHIN


# ---- what a limit may be ----


@pytest.mark.parametrize(
    ("low", "high"), [(2.0, 1.0), (math.nan, 1.0), (0.0, math.inf), (math.nan, None)]
)
def test_a_limit_that_makes_no_sense_is_refused(low: float | None, high: float | None) -> None:
    with pytest.raises(ValueError, match="limit"):
        Limit(low, high, "V")
    assert Limit(1.0, 2.0, "V").low == 1.0


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_an_uncertainty_that_makes_no_sense_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="uncertainty"):
        Limit(1.0, 2.0, "V", uncertainty=bad)
    with pytest.raises(ValueError, match="margin"):
        Limit(1.0, 2.0, "V", near_margin=bad)
    with pytest.raises(ValueError, match="uncertainty"):
        judge(1.5, Limit(1.0, 2.0, "V"), uncertainty=bad)


@pytest.mark.parametrize(
    ("limit", "unit", "words"),
    [
        (COIL, None, "1.3 to 1.7\u00a0kΩ"),
        (COIL, "ohm", "1300 to 1700\u00a0Ω"),
        (RUN_OUT, None, "at most 0.1\u00a0mm"),
        (BATTERY, None, "at least 12.4\u00a0V"),
        (Limit(None, None, "V"), None, ""),
        (Limit(0.5, 1.25, "V"), None, "0.50 to 1.25\u00a0V"),
    ],
)
def test_a_limit_is_said_before_the_reading_is_typed(
    limit: Limit, unit: str | None, words: str
) -> None:
    assert limit_in_words(limit, unit) == words


def test_a_count_that_must_be_one_figure_is_within_or_outside_but_never_near() -> None:
    forty = Limit(40.0, 40.0, "count")
    assert judge(40.0, forty).kind is VerdictKind.WITHIN
    assert judge(39.0, forty).kind is VerdictKind.OUTSIDE
    assert judge(41.0, forty).kind is VerdictKind.OUTSIDE


AT_50_BAR = Condition("pressure", "at a pressure of 45 – 55 bar", low=4.5e6, high=5.5e6, unit="bar")


def test_the_first_condition_that_nothing_was_noted_about_is_named() -> None:
    coil = Limit(1300.0, 1700.0, "kohm", conditions=(RUNNING, AT_20, AT_50_BAR))
    assert not_noted(1500.0, coil, {}) is RUNNING
    assert not_noted(1500.0, coil, {"engine": ""}) is RUNNING
    assert not_noted(1500.0, coil, {"engine": "off"}) is AT_20
    # An open circuit is open at any temperature.
    assert not_noted(OVER_RANGE, coil, {"engine": "off"}) is AT_50_BAR
    noted: dict[str, float | str] = {"engine": "off", "temperature": 300.0, "pressure": 5e6}
    assert not_noted(1500.0, coil, noted) is None
    assert not_noted(1500.0, COIL, {}) is None


@pytest.mark.parametrize(
    ("bar", "kind"),
    [(44.9, NOT_JUDGED), (45.0, WITHIN), (50.0, WITHIN), (55.0, WITHIN), (55.1, NOT_JUDGED)],
)
def test_a_limit_that_holds_under_a_pressure_judges_nothing_beside_it(
    bar: float, kind: VerdictKind
) -> None:
    limit = Limit(1300.0, 1700.0, "kohm", conditions=(AT_50_BAR,))
    verdict = judge(1500.0, limit, observed={"pressure": to_si(bar, "bar")})
    assert verdict.kind is kind
    if kind is NOT_JUDGED:
        assert f"and it was {bar}\u00a0bar" in verdict.reason


@given(
    value=st.floats(500.0, 2500.0),
    uncertainty=st.floats(0.0, 300.0),
)
def test_the_decision_rule_proves_only_what_the_uncertainty_leaves_no_doubt_about(
    value: float, uncertainty: float
) -> None:
    """ISO 14253-1 [M]: within is proved a full uncertainty inside, outside a full one beyond."""
    low, high = 1300.0, 1700.0
    verdict = judge(value, Limit(low, high, "kohm"), uncertainty=uncertainty)
    if verdict.kind is WITHIN:
        assert low + uncertainty <= value * (1 + 1e-9)
        assert value * (1 - 1e-9) <= high - uncertainty
    if verdict.kind is OUTSIDE and not verdict.doubtful:
        assert value <= (low - uncertainty) * (1 + 1e-9) or value >= (high + uncertainty) * (
            1 - 1e-9
        )
    if low <= value <= high:
        assert verdict.kind in (WITHIN, NEAR)
    else:
        assert verdict.kind is OUTSIDE
