"""The kinds that read a capture: what they find, what they say, and what they draw."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diagnostics.captures import Samples, read_capture
from diagnostics.compute.verdict import Limit
from diagnostics.measurements.channels import level_text
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Figure, Finding, Outcome
from diagnostics.measurements.pwm_capture import KIND as PWM
from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.waveform import KIND as SENSOR
from shop.charting import Bars, Chart, Level
from tests import demo_captures
from tests.demo_captures import FOLDER, MADE
from tests.waves import SOUND, Ring, Wiring, active, changing, passive, samples, steady, times

SECONDS = times(20_000, 2)
COIL = {"sensor": "passive", "teeth": "48", "moved": "no"}
TWO_WIRE = {"sensor": "current", "teeth": "48", "moved": "no", "sense_resistance": "100"}


def outcome(
    capture: Samples, typed: dict[str, str], kind: MeasurementKind = SENSOR, **known: object
) -> Outcome:
    return kind.work_out(read_typed(kind.fields, typed), Known(capture=capture, **known))  # type: ignore[arg-type]


def figure(found: Outcome, quantity: str) -> Figure:
    [one] = [one for one in found.figures if one.quantity == quantity]
    return one


def bad(found: Outcome) -> list[Finding]:
    return [one for one in found.findings if one.tone == "bad"]


def committed(name: str) -> Samples:
    return read_capture((FOLDER / f"{name}.csv").read_bytes(), name=f"{name}.csv")


# ---- the demo's captures ----


@pytest.mark.parametrize("name", MADE)
def test_the_committed_captures_are_those_of_the_seeds(name: str) -> None:
    file = FOLDER / f"{name}.csv"

    found, made = committed(name), MADE[name]()

    assert file.stat().st_size <= 120_000
    assert found.channels == pytest.approx(made.channels, abs=1.01e-4)
    assert found.seconds == pytest.approx(made.seconds, abs=1e-5)
    assert found.units == made.units


def test_the_harness_that_opens_when_moved() -> None:
    capture = committed("left_rear_harness_moved")

    found = outcome(capture, COIL | {"teeth": "44", "moved": "yes"})

    assert figure(found, "drop_outs").value == len(demo_captures.HARNESS_GAPS)
    assert figure(found, "missing_teeth").value == 0
    [wiring] = bad(found)
    assert "wire broken inside its cover" in wiring.says
    assert "the ring cannot" in wiring.says


def test_the_ring_with_a_missing_tooth() -> None:
    capture = committed("ring_with_a_missing_tooth")

    found = outcome(capture, COIL | {"teeth": "44", "moved": "yes"})

    assert figure(found, "missing_teeth").value == 1
    assert figure(found, "drop_outs").value == 0
    [ring] = bad(found)
    assert "is the ring" in ring.says
    assert "of 44" in ring.says


def test_the_sound_active_sensor() -> None:
    found = outcome(committed("active_sensor_across_100_ohm"), TWO_WIRE | {"teeth": "44"})

    assert figure(found, "sensor_low_current").value == pytest.approx(0.00702, abs=5e-5)
    assert figure(found, "sensor_high_current").value == pytest.approx(0.01398, abs=5e-5)
    assert not bad(found)


def test_the_actuator() -> None:
    """40 %, 13.5 V, 4.2 ohm: the worked 1.286 A, reckoned and measured."""
    typed = {"connected": "across", "resistance": "4.2", "current_channel": "2"}

    found = outcome(committed("actuator_40_percent"), typed, PWM)

    assert figure(found, "pwm_duty").value == pytest.approx(0.4, abs=0.002)
    assert figure(found, "pwm_frequency").value == pytest.approx(200, rel=0.001)
    assert figure(found, "actuator_current").value == pytest.approx(1.286, rel=0.005)
    assert all(one.tone == "good" for one in found.findings)


# ---- telling causes apart ----


def test_everything_weak_is_gap_or_sensor() -> None:
    capture = samples(SECONDS, passive(SECONDS, steady(1.5), volts_per_hertz=0.0005))

    found = outcome(capture, COIL)

    assert "weak all round" in found.findings[0].says
    peak = figure(found, "signal_peak_to_peak")
    assert peak.value == pytest.approx(0.072, rel=0.02)
    assert peak.allowed is not None
    assert peak.allowed.low == 0.13


def test_the_catalogues_limit_goes_before_the_printed_one() -> None:
    capture = samples(SECONDS, passive(SECONDS, steady(1.5), volts_per_hertz=0.0005))
    limits = {"signal_peak_to_peak": KnownLimit(Limit(low=0.05, high=None, unit="mV"), "page 5")}

    found = outcome(capture, COIL, limits=limits)

    assert figure(found, "signal_peak_to_peak").allowed is None
    assert not bad(found)


def test_run_out_is_not_called_a_tooth() -> None:
    ring = Ring(48, height_wave=0.25)
    capture = samples(SECONDS, passive(SECONDS, steady(9), ring, Wiring(noise_db=30)))

    found = outcome(capture, COIL)

    assert figure(found, "missing_teeth").value == 0
    assert figure(found, "once_per_turn_modulation").value == pytest.approx(0.25, rel=0.05)
    [wave] = [one for one in found.findings if "once a turn" in one.says]
    assert wave.tone == "near"
    assert "dial gauge" in wave.says


def test_drop_outs_at_rest_name_the_wiring_and_the_sensor() -> None:
    wiring = Wiring(noise_db=30, gaps=((0.6, 0.7),))
    capture = samples(SECONDS, passive(SECONDS, steady(9), SOUND, wiring))

    [one] = bad(outcome(capture, COIL))

    assert "wiring, connector or sensor" in one.says


def test_few_turns_leave_ring_and_wiring_open() -> None:
    seconds = times(4000, 0.15)
    capture = samples(seconds, passive(seconds, steady(10), Ring(48, {20: 0.0})))

    found = outcome(capture, COIL)

    assert "missing_teeth" not in {one.quantity for one in found.figures}
    assert any("ring and wiring stay possible" in one.says for one in found.findings)


@pytest.mark.parametrize(
    ("level", "says"),
    [
        (0.0, "no current flows"),
        (0.7, "stuck at the low level"),
        (1.4, "stuck at the high level"),
        (1.05, "in between"),
        (5.0, "shorted towards the supply"),
    ],
)
def test_where_an_active_line_stands_in_a_drop_out(level: float, says: str) -> None:
    wiring = Wiring(noise_db=35, gaps=((0.6, 0.8),))
    volts = active(SECONDS, steady(9), SOUND, wiring, open_level=level)

    [one] = bad(outcome(samples(SECONDS, volts), TWO_WIRE))

    assert says in one.says


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        (0.7, 2.0, "high level is outside"),
        (0.3, 1.4, "low level is outside"),
        (0.35, 0.7, "same share"),
        (1.0, 1.9, "same share"),
        (0.9, 2.8, "a leak beside the sensor"),
    ],
)
def test_levels_that_are_off(low: float, high: float, says: str) -> None:
    volts = active(SECONDS, steady(9), SOUND, Wiring(noise_db=35), low=low, high=high)

    found = bad(outcome(samples(SECONDS, volts), TWO_WIRE))

    assert any(says in one.says for one in found)


def test_leads_the_other_way_round_and_a_channel_in_ampere() -> None:
    volts = active(SECONDS, steady(9), SOUND, Wiring(noise_db=35))
    turned = samples(SECONDS, -volts)
    amps = Samples(SECONDS, volts[None, :] / 100, ("I",), ("A",))

    for capture, typed in ((turned, TWO_WIRE), (amps, TWO_WIRE | {"sense_resistance": ""})):
        found = outcome(capture, typed)
        assert figure(found, "sensor_low_current").value == pytest.approx(0.007, rel=0.01)
        assert figure(found, "sensor_high_current").value == pytest.approx(0.014, rel=0.01)


def test_without_the_resistor_levels_stay_volts() -> None:
    capture = samples(SECONDS, active(SECONDS, steady(9)))

    found = outcome(capture, TWO_WIRE | {"sense_resistance": ""})

    assert "sensor_low_current" not in {one.quantity for one in found.figures}
    assert any("stay volts" in note for note in found.notes)


def test_the_tyre_gives_the_road_speed() -> None:
    """v = f C / N: 205/55R16 rolls 1.9273 m; 9 turns a second are 62.4 km/h."""
    capture = samples(SECONDS, passive(SECONDS, steady(9)))

    found = outcome(capture, COIL | {"tyre": "205/55R16"})

    assert figure(found, "wheel_road_speed").value == pytest.approx(9 * 1.9273, rel=1e-3)
    assert "62.4" in found.says


def test_an_inferred_number_of_teeth_says_so() -> None:
    capture = samples(SECONDS, passive(SECONDS, steady(9), Ring(44, {3: 0.0}), Wiring(noise_db=30)))

    found = outcome(capture, COIL | {"teeth": ""})

    assert any("44, was inferred" in note for note in found.notes)


@pytest.mark.parametrize("moved", ["yes", "no"])
def test_a_wrong_number_of_teeth_blames_no_wiring(moved: str) -> None:
    found = outcome(committed("ring_with_a_missing_tooth"), COIL | {"teeth": "47", "moved": moved})

    assert "has 44 places, not 47" in found.findings[0].says
    assert figure(found, "missing_teeth").value == 1
    assert figure(found, "drop_outs").value == 0
    assert not any("wiring" in one.says and "connector" in one.says for one in found.findings)


# ---- refusals, and what holds for all ----


def test_refusals() -> None:
    capture = samples(SECONDS, passive(SECONDS, steady(9)))
    with pytest.raises(InputError, match="there is no channel 3") as wrong:
        outcome(capture, COIL | {"channel": "3"})
    assert wrong.value.field == "channel"
    with pytest.raises(InputError, match="instrument's file"):
        SENSOR.work_out(read_typed(SENSOR.fields, COIL), Known())
    two = samples(SECONDS, capture.channels[0], capture.channels[0])
    with pytest.raises(InputError, match="resistor") as shunt:
        outcome(two, {"connected": "across", "current_channel": "2"}, PWM)
    assert shunt.value.field == "shunt"
    with pytest.raises(InputError, match="channel of its own"):
        outcome(two, {"connected": "across", "current_channel": "1"}, PWM)


SIGNALS = {
    "sound": passive(SECONDS, changing(3, 9, 2), SOUND, Wiring(noise_db=30)),
    "missing": passive(SECONDS, steady(9), Ring(48, {5: 0.0}), Wiring(noise_db=20)),
    "drop-outs": passive(SECONDS, steady(9), SOUND, Wiring(gaps=((0.3, 0.4), (1.9, 3.0)))),
    "active": active(SECONDS, steady(9), Ring(48, pitch_wave=0.05), Wiring(noise_db=30)),
    "flat": np.full(SECONDS.size, 2.5),
    "noise": np.random.default_rng(1).normal(size=SECONDS.size),
    "short": np.zeros(SECONDS.size),
}


@pytest.mark.parametrize("name", SIGNALS)
@pytest.mark.parametrize("kind", [SENSOR, PWM], ids=lambda kind: kind.key)
@pytest.mark.parametrize("sensor", ["passive", "current", "voltage"])
def test_what_holds_for_every_outcome(name: str, kind: MeasurementKind, sensor: str) -> None:
    typed = COIL | {"sensor": sensor, "sense_resistance": "100"}
    typed = typed if kind is SENSOR else {"connected": "switched", "resistance": "4.2"}
    capture = samples(SECONDS[:4], SIGNALS[name][:4]) if name == "short" else None

    found = outcome(capture or samples(SECONDS, SIGNALS[name]), typed, kind)

    assert found.says.endswith(".")
    assert found.findings
    declared = {one.key for one in kind.quantities}
    assert {one.quantity for one in found.figures} <= declared
    assert all(math.isfinite(one.value) for one in found.figures)
    for finding in found.findings:
        assert finding.says.endswith(".")
    for chart in found.charts:
        _is_drawable(chart)


def _is_drawable(chart: Chart) -> None:
    assert chart.says.endswith(".")
    assert chart.table is not None
    assert chart.table.rows
    assert {len(row) for row in chart.table.rows} == {len(chart.table.heads)}
    for layer in chart.layers:
        assert not isinstance(layer, Bars)
        if isinstance(layer, Level):
            assert math.isfinite(layer.at)
            continue
        assert 0 < len(layer.points) <= 1500
        across = [point[0] for point in layer.points]
        assert across == sorted(across)
        assert all(math.isfinite(value) for point in layer.points for value in point)


def test_what_arithmetic_leaves_is_nought_and_a_microvolt_is_not() -> None:
    assert level_text(5.511e-16, "A") == "0\u00a0A"
    assert level_text(-4.44e-14, "V") == "0\u00a0V"
    assert level_text(1.5e-6, "V") == "0.00000150\u00a0V"
