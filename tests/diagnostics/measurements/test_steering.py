"""Free play by the rule's rows, play in the linkage and the ratio, as they are typed."""

from __future__ import annotations

import pytest

from diagnostics.compute.verdict import Limit
from diagnostics.measurements.free_play import FREE_PLAY
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownFigure, KnownLimit
from diagnostics.measurements.outcome import Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from diagnostics.measurements.steering import KINDS, LINKAGE_PLAY, RATIO
from shop.units import to_si

INCH = 0.0254
SEEN = {"bearings": "right", "joints": "loaded"}


def worked(kind: MeasurementKind, typed: dict[str, str], known: Known | None = None) -> Outcome:
    found = kind.work_out(read_typed(kind.fields, typed), known or Known())
    assert outcome_of(outcome_text(found)) == found
    assert {figure.quantity for figure in found.figures} <= {q.key for q in kind.quantities}
    return found


def play(known: Known | None = None, /, **typed: str) -> Outcome:
    usual = {"diameter": "380", "rule": "us", "engine": "running", "locks": "free"}
    return worked(FREE_PLAY, usual | typed, known)


def says(outcome: Outcome) -> str:
    return " ".join(finding.says for finding in outcome.findings).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("diameter", "inches"),
    [("14", 2.0), ("16", 2.0), ("17", 2.0), ("18", 2.25), ("20", 2.5), ("21", 2.5), ("22", 2.75),
     ("24", 2.75)],
)  # fmt: skip
def test_the_limit_is_the_row_of_the_rule(diameter: str, inches: float) -> None:
    found = play(diameter=diameter, **{"diameter-unit": "in"}, play="20")
    figure = found.figures[0]
    assert figure.allowed is not None
    assert figure.allowed.high == pytest.approx(inches * INCH)
    assert "570.7(a)" in figure.allowed.source


def test_inches_millimetres_and_degrees_are_one_play() -> None:
    inches = play(diameter="16", **{"diameter-unit": "in"}, play="2", **{"play-unit": "in"})
    degrees = play(diameter="406.4", play_angle="14.3239449")

    assert inches.figures[0].value == pytest.approx(0.0508)
    assert degrees.figures[0].value == pytest.approx(0.0508)
    assert "14.3°" in inches.says
    assert [finding.tone for finding in inches.findings] == ["near", "good"]


@pytest.mark.parametrize(("gear", "most"), [("rack", 13), ("joints", 48), ("box", 75)])
def test_the_british_figure_depends_on_the_gear(gear: str, most: float) -> None:
    inside = play(rule="gb", gear=gear, play=str(most - 5))
    outside = play(rule="gb", gear=gear, play=str(most + 5))

    assert inside.figures[0].allowed is not None
    assert inside.figures[0].allowed.high == pytest.approx(most / 1000)
    assert inside.findings[0].tone == "good"
    assert outside.findings[0].tone == "bad"
    assert any("manual in force" in note for note in inside.notes)
    assert "Where the play comes from is not shown" in says(outside)


def test_the_rule_and_gear_of_workshop_and_pages_serve_where_none_is_chosen() -> None:
    gear = KnownFigure(None, "", "demo figure", words="rack")
    known = Known(brake_rule="gb", figures={"steering_gear": gear})
    found = play(known, rule="", play="10")
    assert found.figures[0].allowed is not None
    assert found.figures[0].allowed.high == pytest.approx(0.013)

    with pytest.raises(InputError, match="gear") as refused:
        play(Known(brake_rule="gb"), rule="", play="10")
    assert refused.value.field == "gear"
    with pytest.raises(InputError, match="rule"):
        play(Known(), rule="", play="10")


def test_nothing_is_judged_with_the_engine_off() -> None:
    found = play(engine="off", play="90")
    assert not found.figures[0].keep
    assert found.figures[0].allowed is None
    assert "Not judged" in says(found)
    assert not any(finding.tone == "bad" for finding in found.findings)
    assert play(engine="unassisted", play="90").figures[0].keep


def test_binding_from_lock_to_lock_is_a_finding_of_its_own() -> None:
    found = play(play="10", locks="binds")
    assert found.findings[0].tone == "bad"
    assert "570.7(c)" in found.findings[0].says
    assert "not looked at" in says(play(play="10", locks="not turned"))


def test_the_same_play_at_the_road_wheels_by_the_ratio() -> None:
    found = play(play_angle="90", ratio="15.5")
    assert found.figures[-1].value == pytest.approx(to_si(5.81, "deg"), abs=to_si(0.005, "deg"))


def test_way_and_angle_are_not_both_taken() -> None:
    for wrong in ({}, {"play": "10", "play_angle": "3"}):
        with pytest.raises(InputError, match="one of them"):
            play(**wrong)
    assert play(play_angle="3")


def test_a_steering_wheel_in_the_wrong_unit_is_asked_about() -> None:
    with pytest.raises(InputErrors):
        play(diameter="15", play="10")


def test_a_stricter_figure_of_the_pages_is_noted() -> None:
    strict = KnownLimit(Limit(None, 0.03, "mm"), "demo figure")
    found = play(Known(limits={"steering_free_play": strict}), play="35")
    assert any("30" in note and "exceeds" in note for note in found.notes)


def test_linkage_play_is_judged_by_a_quarter_of_an_inch() -> None:
    inside = worked(LINKAGE_PLAY, {"left": "6.35", "right": "2", **SEEN})
    outside = worked(LINKAGE_PLAY, {"left": "0.3", "left-unit": "in", **SEEN})

    (figure,) = inside.figures
    assert figure.allowed is not None
    assert figure.allowed.high == pytest.approx(0.25 * INCH)
    assert [finding.tone for finding in inside.findings] == ["near", "good"]  # exactly on it
    assert outside.findings[0].tone == "bad"
    assert outside.figures[0].value == pytest.approx(0.00762)


def test_linkage_play_tells_what_else_is_in_the_figure() -> None:
    found = worked(LINKAGE_PLAY, {"left": "3", "bearings": "play", "joints": "hanging"})
    assert "wheel bearing" in says(found)
    assert "hide" in says(found)
    with pytest.raises(InputError, match="at least one"):
        worked(LINKAGE_PLAY, SEEN)


def test_the_pages_own_limit_for_the_linkage_holds_where_it_is_no_looser() -> None:
    strict = KnownLimit(Limit(None, 0.003, "mm"), "demo figure")
    loose = KnownLimit(Limit(None, 0.02, "mm"), "demo figure")

    held = worked(LINKAGE_PLAY, {"left": "4", **SEEN}, Known(limits={"linkage_play": strict}))
    rule = worked(LINKAGE_PLAY, {"left": "10", **SEEN}, Known(limits={"linkage_play": loose}))

    assert held.figures[0].allowed is None
    assert held.findings[0].tone == "bad"
    assert rule.figures[0].allowed is not None
    assert rule.findings[0].tone == "bad"


def test_the_ratio_is_compared_with_the_pages() -> None:
    known = Known(figures={"steering_ratio": KnownFigure(15.5, "count", "demo figure")})
    typed = {"wheel": "90", "left": "6.01", "right": "5.61"}

    found = worked(RATIO, typed, known)
    other = worked(RATIO, typed | {"wheel": "120"}, known)

    assert found.figures[0].value == pytest.approx(15.49, abs=0.01)
    assert found.findings[0].tone == "good"
    assert other.findings[0].tone == "near"
    assert "does not show wear" in says(other)
    with pytest.raises(InputError, match="above nought"):
        worked(RATIO, {"wheel": "90", "left": "0", "right": "0"})


def test_every_kind_says_its_purpose_and_cautions() -> None:
    for kind in KINDS:
        assert kind.purpose.endswith(".")
        assert kind.cautions
