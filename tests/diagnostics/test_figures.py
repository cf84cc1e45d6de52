"""A derived figure before its limit: the catalogue's conditions hold for it as for a reading."""

from __future__ import annotations

import pytest

from diagnostics import figures
from diagnostics.measurements.outcome import Allowed, Figure, Finding, Outcome
from diagnostics.models import Limit, Quantity


def a_limit(**given: object) -> Limit:
    row: dict[str, object] = {"low": 1e-4, "unit": "l/min", "source": "sheet 1"}
    return Limit(quantity=Quantity(key="pump_flow", name="Flow"), **(row | given))


def flow(value: float = 1.2e-4, **given: object) -> Figure:
    return Figure("pump_flow", "Flow", value, "l/min", keep=True, **given)  # type: ignore[arg-type]


def test_a_limit_under_a_pressure_judges_only_what_was_measured_under_it() -> None:
    row = a_limit(pressure_low=45e5, pressure_high=55e5, pressure_unit="bar")
    found = [
        figures.judged(flow(pressure_pa=pascals), row, Outcome("Flow."))["verdict"]
        for pascals in (None, 5e5, 50e5)
    ]
    assert found == ["not_judged", "not_judged", "within"]


def test_a_limit_with_the_engine_running_asks_it_of_the_outcome() -> None:
    row = a_limit(engine="running")
    assert figures.judged(flow(), row, Outcome("Flow."))["verdict"] == "not_judged"
    ran = Outcome("Flow.", engine="running")
    assert figures.judged(flow(), row, ran)["verdict"] == "within"


def test_a_copper_figure_is_judged_once_it_says_that_it_was_corrected() -> None:
    row = a_limit(unit="ohm", low=1000.0, reference_k=293.15, corrects_for_copper=True)
    figure = Figure("coil_resistance", "Coil", 1100.0, "ohm", keep=True)
    warm = Outcome("Coil.", temperature_k=333.15)
    assert figures.judged(figure, row, warm)["verdict"] == "not_judged"
    brought = Outcome("Coil.", temperature_k=333.15, corrected="Brought to 20 °C.")
    said = figures.judged(figure, row, brought)
    assert said["verdict"] == "within"
    assert "Brought to 20" in str(said["reason"])


def test_a_rule_of_the_measurement_goes_before_the_catalogue() -> None:
    rule = Allowed("%", "a rule", low=0.58)
    figure = Figure("brake_efficiency", "Efficiency", 0.55, "%", keep=True, allowed=rule)
    said = figures.judged(figure, a_limit(unit="%", low=0.5), Outcome("Efficiency."))
    assert (said["verdict"], said["limit_source"]) == ("outside", "a rule")


@pytest.mark.parametrize(
    ("verdicts", "tones", "worst"),
    [
        ([], [], "not_judged"),
        (["within", "not_judged"], [], "within"),
        (["within"], ["unknown", "near"], "near"),
        (["near"], ["bad"], "outside"),
        (["outside"], ["good"], "outside"),
    ],
)
def test_the_worst_of_what_was_judged_and_found_marks_the_whole(
    verdicts: list[str], tones: list[str], worst: str
) -> None:
    findings = [Finding(tone, "So.") for tone in tones]  # type: ignore[arg-type]
    assert figures.worst(verdicts, findings) == worst


def test_without_a_place_it_says_where_limits_are_known() -> None:
    said = figures.judged(flow(), None, Outcome("Flow."), elsewhere=("left rear", "right rear"))
    assert said["verdict"] == "not_judged"
    assert "Limits are known for left rear, right rear" in str(said["reason"])
