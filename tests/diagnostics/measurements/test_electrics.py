"""Electrical measurements as typed at the car."""

from __future__ import annotations

import pytest

from diagnostics.compute.verdict import Condition, Limit
from diagnostics.measurements.electrics import KINDS
from diagnostics.measurements.given import InputError
from diagnostics.measurements.kept import outcome_of, outcome_text
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known, KnownLimit
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.measurements.reading_in import InputErrors, read_typed
from shop.units import from_si

BY_KEY = {kind.key: kind for kind in KINDS}
AT_20 = Condition("temperature", "at 20 °C", low=288.15, high=298.15, unit="degC", correctable=True)


def limited(**limits: Limit) -> Known:
    return Known(limits={key: KnownLimit(limit, "demo") for key, limit in limits.items()})


def work(key: str, known: Known | None = None, /, **typed: str) -> Outcome:
    kind = BY_KEY[key]
    names = {name.replace("__", "-"): text for name, text in typed.items()}
    outcome = kind.work_out(read_typed(kind.fields, names), known or Known())
    # Kept as text and read again it is the same, so nothing in it is nan or endless.
    assert outcome_of(outcome_text(outcome)) == outcome
    declared = {quantity.key for quantity in kind.quantities}
    assert {figure.quantity for figure in outcome.figures} <= declared
    return outcome


def figure(outcome: Outcome, quantity: str) -> Figure:
    return next(one for one in outcome.figures if one.quantity == quantity)


def tones(outcome: Outcome) -> list[str]:
    return [finding.tone for finding in outcome.findings]


def refused(key: str, /, **typed: str) -> tuple[str, str]:
    """The field and the sentence of what the measurement itself refuses."""
    with pytest.raises(InputError) as caught:
        work(key, **typed)
    return caught.value.field, caught.value.sentence


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
def test_every_kind_has_its_cautions_and_a_purpose(kind: MeasurementKind) -> None:
    found = BY_KEY[kind.key]
    assert found.cautions
    assert found.purpose.endswith(".")
    assert len({field.name for field in found.fields}) == len(found.fields)


# ---- coils ----

SENSOR = limited(sensor_resistance=Limit(1050, 1300, "kohm", 5, conditions=(AT_20,)))


def test_a_warm_sensor_is_brought_to_the_temperature_of_its_limit() -> None:
    # 1,400 / (1 + 0.00393 x 40) = 1,209.8 ohm by hand, IEC 60028.
    found = work(
        "coil_resistance",
        SENSOR,
        coil="sensor",
        resistance="1.4",
        resistance__unit="kohm",
        temperature="60",
    )

    at_20 = figure(found, "sensor_resistance")
    assert at_20.value == pytest.approx(1209.8, abs=0.05)
    assert at_20.keep
    assert at_20.allowed is None
    assert found.corrected == found.says.split(" As warm")[0]
    assert "the meter should show 1.215 to 1.504\u00a0kΩ" in found.says
    assert found.temperature_k == pytest.approx(333.15)
    assert tones(found) == ["good"]


def test_without_the_correction_it_would_have_been_outside() -> None:
    cold = work(
        "coil_resistance",
        SENSOR,
        coil="sensor",
        resistance="1.4",
        resistance__unit="kohm",
        temperature="20",
    )
    assert tones(cold) == ["bad"]


def test_ohms_for_kilohms_are_asked_about() -> None:
    kind = BY_KEY["coil_resistance"]

    def doubted(**typed: str) -> InputError | None:
        return kind.doubt(read_typed(kind.fields, typed | {"temperature": "20"}), SENSOR)

    asked = doubted(coil="sensor", resistance="1.2")
    assert asked
    assert asked.field == "resistance"
    assert "Did the meter show 1.2\u00a0kΩ?" in asked.sentence
    assert not doubted(coil="sensor", resistance="1200")
    assert not doubted(coil="other", resistance="1.2")


def test_a_limit_may_be_typed_in() -> None:
    found = work(
        "coil_resistance", coil="other", resistance="5.52", temperature="100", low="4", high="4.8"
    )

    allowed = figure(found, "coil_resistance").allowed
    assert allowed is not None
    assert (allowed.low, allowed.high) == (4.0, 4.8)
    # 4.2 at 20 is 5.520 at 100 [C].
    assert figure(found, "coil_resistance").value == pytest.approx(4.2, abs=0.001)
    assert tones(found) == ["good"]
    assert refused(
        "coil_resistance", coil="other", resistance="5", temperature="20", low="5", high="4"
    ) == ("low", "The lowest allowed is above the highest.")


def test_a_limit_at_another_temperature_is_kept_at_it() -> None:
    at_60 = Condition("temperature", "at 60 °C", low=328.15, high=338.15, unit="degC")
    known = limited(coil_resistance=Limit(5, 6, "ohm", conditions=(at_60,)))

    found = work("coil_resistance", known, coil="other", resistance="4.2", temperature="20")

    assert figure(found, "coil_resistance").value == pytest.approx(4.2 * (1 + 0.00393 * 40))


def test_no_limit_is_no_verdict() -> None:
    found = work("coil_resistance", coil="relay", resistance="85", temperature="20")
    assert tones(found) == ["unknown"]


# ---- drops ----


def test_a_published_joint_and_its_heat() -> None:
    # 0.01 ohm under 200 A is 2 V, read on a public page [R].
    found = work("voltage_drop", sort="cable", drop="2", drop__unit="V", load="on", current="200")

    assert figure(found, "joint_resistance").value == pytest.approx(0.01)
    assert figure(found, "power_lost").value == pytest.approx(400)
    assert tones(found) == ["bad", "bad"]
    assert "more than 1 V is a fault in any circuit" in found.findings[0].says
    assert any("SAE" in source for source in found.sources)


def test_a_drop_is_judged_by_the_platform_before_the_general_figure() -> None:
    strict = limited(ground_drop=Limit(None, 0.06, "mV", 0.002))

    here = work("voltage_drop", strict, sort="ground", drop="80", load="on")
    anywhere = work("voltage_drop", sort="ground", drop="80", load="on")

    assert tones(here) == ["bad"]
    assert figure(here, "ground_drop").allowed is None
    assert tones(anywhere) == ["good"]
    allowed = figure(anywhere, "ground_drop").allowed
    assert allowed is not None
    assert allowed.high == 0.1
    assert "second-hand" in allowed.source


def test_a_drop_without_load_is_no_proof() -> None:
    found = work("voltage_drop", sort="contacts", drop="2", load="off")

    assert tones(found) == ["unknown"]
    assert not figure(found, "contact_drop").keep
    assert refused("voltage_drop", sort="contacts", drop="2", load="off", current="4")[0] == "load"


def test_a_small_connection_loses_nothing_but_what_the_meter_makes() -> None:
    assert tones(work("voltage_drop", sort="small_connection", drop="4", load="on")) == ["good"]
    assert tones(work("voltage_drop", sort="small_connection", drop="20", load="on")) == ["bad"]


def test_a_starter_side_has_its_own_figure() -> None:
    whole = limited(circuit_drop=Limit(None, 0.5, "mV"))
    found = work("voltage_drop", whole, sort="starter_plus", drop="550", load="on")

    assert tones(found) == ["good"]
    allowed = figure(found, "circuit_drop").allowed
    assert allowed is not None
    assert allowed.high == 0.6


def test_copper_explains_a_part_of_the_drop() -> None:
    # 5 m of 2.5 mm2 is 0.0345 ohm [C], under 10 A 0.345 V.
    found = work(
        "voltage_drop", sort="cable", drop="150", load="on", current="4", length="5", section="2.5"
    )

    assert figure(found, "wire_drop").value == pytest.approx(0.138, abs=0.0005)
    assert tones(found) == ["good", "good"]
    missing = refused("voltage_drop", sort="cable", drop="150", load="on", length="5")
    assert missing[0] == "section"


def test_a_wire_is_told_what_it_ought_to_show() -> None:
    known = limited(wire_resistance=Limit(None, 0.5, "ohm", 0.1))
    good = work("wire", known, length="2", section="0.5", resistance="0.3", leads="0.2")
    bad = work("wire", known, length="2", section="0.5", resistance="1.4", leads="0.2")

    assert figure(good, "copper_resistance").value == pytest.approx(0.0690, abs=0.00005)
    assert figure(good, "wire_resistance").value == pytest.approx(0.1)
    assert tones(good) == ["good"]
    assert tones(bad) == ["bad"]
    assert refused("wire", length="2", section="1", resistance="0.1", leads="0.2")[0] == "leads"
    assert work("wire", length="2", section="0.5", current="3").figures[1].value == pytest.approx(
        0.207, abs=0.0005
    )


# ---- circuits and grounds ----


def test_a_circuit_names_its_worst_place_and_what_was_left_out() -> None:
    found = work(
        "circuit_budget",
        load="on",
        source="12.6",
        at_load="11.5",
        current="15",
        places__relay__drop="620",
        places__fuse__drop="50",
        places__ground_point__drop="80",
    )

    assert figure(found, "circuit_drop").value == pytest.approx(0.75)
    assert figure(found, "supply_side").value == pytest.approx(0.67)
    assert figure(found, "not_found").value == pytest.approx(0.35)
    assert figure(found, "power_lost").value == pytest.approx(9.3)
    assert "Relay contacts" in found.says
    assert any("A place was left out" in one.says for one in found.findings)
    assert found.table is not None
    assert found.table.rows[0][:3] == ("Relay contacts", "0.62\u00a0V", "83\u00a0%")


def test_a_circuit_in_order_has_no_picture_of_nothing() -> None:
    found = work("circuit_budget", load="on", places__relay__drop="0")

    assert tones(found) == ["good"]
    assert found.charts == ()


def test_a_circuit_needs_its_load_and_an_order_of_voltages() -> None:
    assert refused("circuit_budget", load="off", places__relay__drop="0")[0] == "load"
    wrong = refused(
        "circuit_budget", load="on", places__relay__drop="0", source="12", at_load="12.5"
    )
    assert wrong[0] == "at_load"
    with pytest.raises(InputErrors, match="Fill in a row"):
        work("circuit_budget", load="on")


def test_grounds_are_compared_and_the_lost_one_is_found() -> None:
    found = work(
        "ground_quality",
        load="on",
        current="20",
        points__module__drop="240",
        points__engine__drop="20",
        points__stud__drop="35",
    )

    assert figure(found, "ground_drop").value == pytest.approx(0.24)
    assert figure(found, "ground_resistance").value == pytest.approx(0.012)
    assert figure(found, "ground_spread").value == pytest.approx(0.22)
    assert "between “Ground stud” and “Ground pin of the module”" in found.findings[1].says


@pytest.mark.parametrize(
    ("platform", "sensitive", "high"),
    [(None, "", 0.1), (None, "on", 0.05), (0.06, "on", None), (0.1, "on", 0.05), (0.06, "", None)],
)
def test_the_stricter_figure_for_a_ground_counts(
    platform: float | None, sensitive: str, high: float | None
) -> None:
    known = limited(ground_drop=Limit(None, platform, "mV")) if platform else Known()
    found = work("ground_quality", known, load="on", sensitive=sensitive, points__module__drop="70")

    allowed = figure(found, "ground_drop").allowed
    assert (allowed.high if allowed else None) == high
    assert tones(found) == (["good"] if high == 0.1 else ["bad"])


# ---- battery ----


def test_a_rested_battery_may_stand_as_proof() -> None:
    found = work("battery_rest", voltage="12.45", sort="flooded", rest="8")

    kept = figure(found, "battery_rest_voltage")
    assert kept.keep
    assert figure(found, "battery_charge").value == pytest.approx(0.75)
    assert found.engine == "off"
    assert tones(found) == ["good"]


def test_a_weak_battery_is_charged_first() -> None:
    found = work("battery_rest", voltage="12.24", sort="flooded", removed="on")

    assert figure(found, "battery_charge").value == pytest.approx(0.5)
    assert "charge first, then measure" in found.findings[0].says


def test_a_battery_that_did_not_rest_proves_nothing() -> None:
    found = work("battery_rest", voltage="12.7", sort="mat", rest="1")

    assert not figure(found, "battery_rest_voltage").keep
    assert "unknown" in tones(found)
    assert "had not rested" in found.says


def test_a_flat_battery_and_one_full_of_surface_charge_are_said() -> None:
    flat = work("battery_rest", voltage="11.2", sort="flooded", rest="12", temperature="2")
    full = work("battery_rest", voltage="13.1", sort="unknown", rest="12")

    assert tones(flat) == ["bad"]
    assert any("rough figure" in note for note in flat.notes)
    assert any("surface charge" in note for note in full.notes)
    assert any("Taken as a flooded battery" in note for note in full.notes)


# ---- coils at work ----


def test_a_resistor_beside_a_relay_s_coil_is_taken_away() -> None:
    relay = limited(relay_coil_resistance=Limit(72, 98, "ohm", conditions=(AT_20,)))
    found = work(
        "coil_operation",
        relay,
        coil="relay",
        resistance="75.556",
        temperature="20",
        supply="13.5",
        beside="resistor",
        resistor="680",
        pull_in="7.2",
        drop_out="2.4",
    )

    assert figure(found, "relay_coil_resistance").value == pytest.approx(85.0, abs=0.001)
    assert figure(found, "coil_current").value == pytest.approx(13.5 / 85, abs=1e-5)
    assert figure(found, "coil_power").value == pytest.approx(13.5**2 / 85, abs=1e-4)
    assert figure(found, "pull_in_voltage").value == pytest.approx(7.2)
    assert tones(found) == ["good"]


def test_a_relay_that_will_not_pull_in_hot_is_found() -> None:
    cold = {"coil": "relay", "resistance": "85", "temperature": "20", "beside": "none"}
    cold["pull_in"] = "8"

    weak = work("coil_operation", **cold, supply="9.5")
    strong = work("coil_operation", **cold, supply="12")

    # 8 V x (1 + 0.00393 x 60) = 9.89 V at 80 °C, by hand.
    assert any("pulls in at 9.89\u00a0V" in one.says for one in weak.findings)
    assert tones(weak) == ["bad"]
    assert tones(strong) == ["good"]


def test_a_coil_s_contradictions_are_refused() -> None:
    typed = {"coil": "relay", "resistance": "85", "temperature": "20", "supply": "12"}

    assert refused("coil_operation", **typed, beside="resistor")[0] == "resistor"
    assert refused("coil_operation", **typed, beside="resistor", resistor="80")[0] == "resistor"
    twisted = refused("coil_operation", **typed, beside="none", pull_in="4", drop_out="5")
    assert twisted[0] == "drop_out"


@pytest.mark.parametrize(("celsius", "amps"), [("20", 1.286), ("100", 0.978)])
def test_a_switched_coil_has_its_worked_current(celsius: str, amps: float) -> None:
    # D 40 %, 13.5 V, 4.2 ohm at 20 °C: 1.286 A, and 0.978 A with the coil at 100 °C [C].
    found = work("pwm_actuator", supply="13.5", duty="40", resistance="4.2", temperature=celsius)

    assert figure(found, "expected_current").value == pytest.approx(amps, abs=0.0005)
    assert found.findings == ()
    assert not any(one.keep for one in found.figures)


@pytest.mark.parametrize(
    ("measured", "tone", "says"),
    [
        ("1.25", "good", "agree"),
        ("0.6", "bad", "beside the coil"),
        ("2.4", "bad", "shorted turns"),
        ("0", "bad", "Nothing flows"),
        # 5.4 V / 1 A is 5.4 ohm: (5.4 / 4.2 - 1) / 0.00393 + 20 = 92.7 °C, by hand.
        ("1.0", "bad", "A coil at 93 °C would explain it too"),
    ],
)
def test_a_measured_current_is_compared(measured: str, tone: str, says: str) -> None:
    found = work(
        "pwm_actuator", supply="13.5", duty="40", resistance="4.2", measured_current=measured
    )

    kept = figure(found, "actuator_current")
    assert kept.keep
    assert kept.allowed is not None
    assert tones(found) == [tone]
    assert says in found.findings[0].says


def test_how_far_the_formula_holds_is_said() -> None:
    found = work(
        "pwm_actuator",
        supply="13.5",
        duty="40",
        resistance="4.2",
        frequency="200",
        constant="5",
    )
    alone = work("pwm_actuator", supply="13.5", duty="0", resistance="4.2", frequency="200")

    assert any("cuts the current off hard" in note for note in found.notes)
    assert any("the current swings by" in note for note in found.notes)
    assert any("time constant, which was not given" in note for note in alone.notes)
    assert from_si(figure(found, "least_current").value, "A") < 1.286
