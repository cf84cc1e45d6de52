"""Hydraulic measurements as typed at the car."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from diagnostics.compute.verdict import Condition, Limit
from diagnostics.measurements.given import InputError
from diagnostics.measurements.hydraulics import KINDS
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from shop.units import from_si, to_si

BY_KEY = {kind.key: kind for kind in KINDS}
BAR = 1e5
TIMES = (0, 5, 10, 15, 20, 30, 45, 60)
HOLDS = (60, 60, 59.8, 60, 59.8, 59.7, 59.8, 59.7)
SETTLES = (60, 58.9, 58.5, 58.4, 58.3, 58.3, 58.3, 58.3)
LEAKS = (60, 59, 58, 57, 56, 54, 51, 48)


def limited(**limits: Limit) -> Known:
    named = {key.replace("__", "/"): limit for key, limit in limits.items()}
    return Known(limits={key: KnownLimit(limit, "demo") for key, limit in named.items()})


def work(key: str, known: Known | None = None, /, **typed: str) -> Outcome:
    kind = BY_KEY[key]
    names = {name.replace("__", "-"): text for name, text in typed.items()}
    outcome = kind.work_out(read_typed(kind.fields, names), known or Known())
    assert outcome_of(outcome_text(outcome)) == outcome
    assert {f.quantity for f in outcome.figures} <= {q.key for q in kind.quantities}
    return outcome


def figure(outcome: Outcome, quantity: str, position: str = "") -> Figure:
    return next(
        one for one in outcome.figures if (one.quantity, one.position) == (quantity, position)
    )


def kept(outcome: Outcome) -> set[str]:
    return {one.quantity for one in outcome.figures if one.keep}


def tones(outcome: Outcome) -> list[str]:
    return [finding.tone for finding in outcome.findings]


def refused(key: str, /, **typed: str) -> str:
    """The field beside which the measurement itself refuses."""
    with pytest.raises(InputError) as caught:
        work(key, **typed)
    return caught.value.field


def held(bars: Sequence[float], times: Sequence[float] = TIMES, /, **more: str) -> dict[str, str]:
    typed = dict(more)
    for number, (at, pressure) in enumerate(zip(times, bars, strict=False), 1):
        typed[f"readings__{number}__time"] = str(at)
        typed[f"readings__{number}__pressure"] = str(pressure)
    return typed


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
def test_every_kind_has_its_cautions(kind: MeasurementKind) -> None:
    assert len(kind.cautions) >= 3
    said = " ".join(kind.cautions)
    if kind.key in ("relief_pressure", "pump_test", "stop_pressure"):
        assert "5 seconds at most" in said
        assert "Never hold the steering at its stop" in said
        assert "Never drive with the gauge fitted" in said


# ---- held pressure ----

LIMIT = limited(pressure_lost=Limit(None, 2 * BAR, "bar", 0.5 * BAR))


@pytest.mark.parametrize(
    ("bars", "tone", "lost"), [(HOLDS, "good", 0.3), (SETTLES, "good", 1.7), (LEAKS, "bad", 6.0)]
)
def test_a_channel_holds_settles_or_leaks(bars: tuple[float, ...], tone: str, lost: float) -> None:
    found = work("pressure_hold", LIMIT, **held(bars))

    assert figure(found, "pressure_lost").value == pytest.approx(lost * BAR)
    assert kept(found) == {"pressure_lost", "pressure_fall_per_minute"}
    assert tones(found)[0] == tone
    assert found.charts[0].layers[0].name.endswith("fitted")
    assert found.charts[0].layers[-1].name == "Least after 30 s"


def test_a_leak_has_its_rate_and_what_remains() -> None:
    found = work("pressure_hold", **held(LEAKS, hold_time="60"))

    rate = figure(found, "pressure_fall_per_minute")
    assert rate.value == pytest.approx(12 * BAR)
    assert rate.uncertainty is not None
    assert rate.uncertainty < 2 * BAR
    assert figure(found, "pressure_remaining").value == pytest.approx(0.8)
    assert "does not show which" in found.findings[0].says


def test_the_rule_about_the_pedal_is_held_to_its_figures() -> None:
    # 125 lbf (556 N) for 10 s: 49 CFR 570.55(b), read; 570.5(b) from memory.
    right = work("pressure_hold", **held(HOLDS, force="556.1", pedal="steady"))
    weak = work("pressure_hold", **held(HOLDS, force="300", pedal="steady"))
    short = work("pressure_hold", **held(HOLDS[:2], (0, 8), force="600", pedal="steady"))
    sank = work("pressure_hold", **held(HOLDS, pedal="sank"))

    assert any("as the in-service rule asks" in one.says for one in right.findings)
    assert any("asks for 556 N" in one.says for one in weak.findings)
    assert any("asks for 556 N" in one.says for one in short.findings)
    assert sank.findings[0].tone == "bad"
    assert "Do not drive it" in sank.findings[0].says
    assert from_si(to_si(125, "lbf"), "N") == pytest.approx(556.03, abs=0.005)


def test_a_series_that_is_too_short_is_not_taken_for_half_a_minute() -> None:
    found = work("pressure_hold", LIMIT, **held((60, 57), (0, 20)))

    assert kept(found) == set()
    assert tones(found) == ["unknown", "unknown"]
    assert any("foretold" in note for note in found.notes)


def test_a_fluid_that_cooled_is_said_before_a_leak_is_believed() -> None:
    cooled = work("pressure_hold", **held(LEAKS, warm_before="60", warm_after="45"))
    steady = work("pressure_hold", **held(LEAKS, warm_before="60", warm_after="59"))

    assert any("fall without a leak" in one.says for one in cooled.findings)
    assert not any("meanwhile" in one.says for one in steady.findings)


def test_readings_out_of_order_are_refused() -> None:
    assert refused("pressure_hold", **held((60, 59, 58), (0, 20, 10))) == "readings"
    with pytest.raises(InputErrors, match="at least 2 rows"):
        work("pressure_hold", **held((60,), (0,)))


# ---- line pressures ----


def push(number: int, force: str, *bars: float) -> dict[str, str]:
    typed = {f"pushes__{number}__force": force}
    for wheel, pressure in zip(("LF", "RF", "LR", "RR"), bars, strict=True):
        typed[f"pushes__{number}__{wheel}"] = str(pressure)
    return typed


def test_sides_are_compared_in_per_cent_of_the_higher() -> None:
    # 300 and 210 are 30.0 % of the higher apart [C]; here as bars.
    found = work("line_pressures", **push(1, "300", 30, 21, 20, 20))

    front = figure(found, "pressure_difference", "front")
    assert front.value == pytest.approx(0.30)
    assert front.allowed is not None
    assert front.allowed.high == 0.25
    assert "from memory" in front.allowed.source
    assert figure(found, "pressure_difference", "rear").value == 0.0
    assert tones(found) == ["bad", "good"]
    assert found.findings[0].position == "RF"


def test_the_worst_push_counts_and_the_lightest_does_not() -> None:
    typed = push(1, "20", 3, 1, 2, 2) | push(2, "200", 40, 38, 30, 30) | push(3, "", 80, 60, 50, 50)

    found = work("line_pressures", **typed)

    assert figure(found, "pressure_difference", "front").value == pytest.approx(0.25)
    assert "Push 3" in figure(found, "pressure_difference", "front").reason
    assert [chart.title for chart in found.charts] == [
        "Side to side",
        "Pressure against pedal force",
    ]


def test_low_wheels_on_one_diagonal_point_to_a_circuit() -> None:
    found = work("line_pressures", **push(1, "300", 60, 44, 30, 41))
    same_side = work("line_pressures", **push(1, "300", 60, 44, 41, 30))

    assert any("one diagonal" in one.says for one in found.findings)
    assert not any("one diagonal" in one.says for one in same_side.findings)


def test_the_platform_s_limit_for_an_axle_counts() -> None:
    known = limited(pressure_difference__front=Limit(None, 0.05, "%"))

    found = work("line_pressures", known, **push(1, "300", 60, 54, 40, 36))

    assert figure(found, "pressure_difference", "front").allowed is None
    assert figure(found, "pressure_difference", "rear").allowed is not None
    assert tones(found) == ["bad", "good"]


def test_a_rear_share_that_grows_is_said() -> None:
    found = work(
        "line_pressures", **(push(1, "100", 20, 20, 10, 10) | push(2, "300", 60, 60, 50, 50))
    )

    assert any("should not grow" in one.says for one in found.findings)
    assert [one.value for one in found.figures if one.quantity == "rear_to_front"] == [
        pytest.approx(0.5),
        pytest.approx(50 / 60),
    ]


def test_one_wheel_alone_has_no_other_side() -> None:
    assert refused("line_pressures", pushes__1__LF="20", pushes__1__LR="20") == "pushes"


# ---- the pump ----


def test_the_worked_point_of_a_pump() -> None:
    # 100 bar and 8 l/min are 1.333 kW, at 85 % 1.569 kW [C].
    found = work(
        "pump_test", points__open__pressure="100", points__open__flow="8", overall="85", fluid="55"
    )

    assert figure(found, "hydraulic_power").value == pytest.approx(1333, abs=0.5)
    assert figure(found, "shaft_power").value == pytest.approx(1569, abs=0.5)
    assert "1.333\u00a0kW" in found.says
    assert "1.79\u00a0hp" in found.says
    assert found.engine == "running"
    assert kept(found) == {"pump_flow"}


def test_a_pump_is_compared_with_its_size() -> None:
    # 10 cm3 a revolution, 800 rev/min, 92 %: 7.36 l/min [C].
    known = limited(
        pump_flow=Limit(
            5.5e-3 / 60,
            None,
            "l/min",
            conditions=(Condition("engine", "with the engine running", needs="running"),),
        )
    )
    found = work(
        "pump_test",
        known,
        points__open__pressure="4",
        points__open__flow="7.36",
        points__4__pressure="80",
        points__4__flow="5.5",
        speed="800",
        displacement="10",
        volumetric="92",
        fluid="55",
    )

    assert figure(found, "expected_flow").value * 6e4 == pytest.approx(7.36)
    assert figure(found, "volumetric_efficiency").value == pytest.approx(0.92)
    assert kept(found) == {"pump_flow", "volumetric_efficiency"}
    assert tones(found) == ["near", "good"]
    assert found.charts[0].layers[-1].name == "Expected"


def test_more_flow_than_displacement_is_doubted() -> None:
    found = work(
        "pump_test",
        points__open__pressure="4",
        points__open__flow="20",
        speed="800",
        displacement="10",
        fluid="20",
    )

    assert kept(found) == {"pump_flow"}
    assert any("cannot come out of a pump" in one.says for one in found.findings)
    assert any("Colder fluid reads high" in one.says for one in found.findings)


# ---- relief and stops ----

RELIEF = limited(
    relief_pressure=Limit(
        85 * BAR,
        95 * BAR,
        "bar",
        BAR,
        conditions=(Condition("engine", "with the engine running", needs="running"),),
    )
)


@pytest.mark.parametrize(
    ("bars", "tone"), [("90", "good"), ("85.5", "near"), ("70", "bad"), ("120", "bad")]
)
def test_relief_pressure_is_judged_with_the_engine_running(bars: str, tone: str) -> None:
    found = work("relief_pressure", RELIEF, pressure=bars, closed="4", fluid="55")

    assert tones(found) == [tone]
    assert kept(found) == {"relief_pressure"}


def test_the_published_slip_is_caught_at_every_door() -> None:
    # "960 kPa (1400 psi)" stands printed; 1,400 psi is 9,653 kPa.
    with pytest.raises(InputErrors) as caught:
        work("relief_pressure", pressure="960", pressure__unit="kPa")
    assert caught.value.doubts
    assert "Did the gauge show" in caught.value.errors["pressure"]

    sure = work(
        "relief_pressure", pressure="960", pressure__unit="kPa", other_scale="1400", sure="on"
    )
    assert "10 times apart" in sure.findings[0].says
    assert kept(sure) == set()

    sheet = work(
        "relief_pressure",
        pressure="96",
        low="940",
        low__unit="kPa",
        high="960",
        high__unit="kPa",
        high_other="1400",
        fluid="55",
    )
    assert any("The sheet’s two figures disagree" in one.says for one in sheet.findings)


@pytest.mark.parametrize("row", [("1400", "9653"), ("1530", "10549"), ("941", "6488")])
def test_two_scales_that_agree_say_nothing(row: tuple[str, str]) -> None:
    psi, kilopascals = row
    found = work(
        "relief_pressure",
        pressure=kilopascals,
        pressure__unit="kPa",
        other_scale=psi,
        fluid="55",
    )
    assert tones(found) == ["unknown"]
    assert kept(found) == {"relief_pressure"}


@pytest.mark.parametrize(
    ("seconds", "tone"), [("5", None), ("5.1", "near"), ("15", "near"), ("15.1", "bad")]
)
def test_how_long_the_valve_was_closed_is_held_against_what_makers_say(
    seconds: str, tone: str | None
) -> None:
    found = work("relief_pressure", RELIEF, pressure="90", closed=seconds, fluid="55")

    said = [one.tone for one in found.findings if "valve was closed" in one.says]
    assert said == ([tone] if tone else [])


@pytest.mark.parametrize(
    ("fluid", "says"), [("50", ""), ("60", ""), ("49", "Colder"), ("61", "Hotter"), ("", "noted")]
)
def test_the_fluid_must_be_warm(fluid: str, says: str) -> None:
    found = work("relief_pressure", RELIEF, pressure="90", fluid=fluid)

    said = " ".join(one.says for one in found.findings if one.tone == "unknown")
    assert (says in said) if says else not said


def test_a_gear_is_parted_from_its_pump() -> None:
    # 80 bar on 8 cm2 is 6.40 kN [C].
    good = work("stop_pressure", left="80", right="81", alone="82", area="8", fluid="55")
    gear = work("stop_pressure", left="60", right="61", alone="90", fluid="55")
    side = work("stop_pressure", left="88", right="70", alone="90", fluid="55")
    odd = work("stop_pressure", left="99", right="99", alone="90", fluid="55")

    assert figure(good, "rack_force").value == pytest.approx(6400)
    assert tones(good) == ["good"]
    assert "Neither stop reaches" in gear.findings[0].says
    assert "The right stop stays 20.5\u00a0% behind" in side.findings[0].says
    assert tones(odd) == ["unknown"]
    assert figure(side, "steering_pressure").value == pytest.approx(70 * BAR)
