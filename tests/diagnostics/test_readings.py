"""Measuring: judged at once, kept for ever, put right without being rubbed out."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import Limit, Quantity, Reading
from diagnostics.queries.limits import limit_for, shown
from diagnostics.services import readings
from diagnostics.services.readings import Typed
from shop.actor import Actor
from shop.errors import Clash
from tests.asserts import refused
from tests.diagnostics.at_the_bay import a_reading
from tests.factories import a_session, a_vehicle


def test_a_value_inside_its_limit_is_within_and_keeps_the_limit(ines: Actor) -> None:
    reading = a_reading(ines, a_session(ines), value="1.39")
    assert reading.verdict == "within"
    assert reading.value == pytest.approx(1390.0)
    assert (reading.limit_low, reading.limit_high) == (1280.0, 1500.0)
    assert reading.limit_source == "demo figure, PL2 sheet 4"
    assert str(reading.component) == "Rear hub-and-sensor assembly"


def test_a_later_change_of_the_limit_rewrites_no_reading(ines: Actor) -> None:
    reading = a_reading(ines, a_session(ines), value="1.39")
    assert reading.limit is not None
    Limit.objects.filter(pk=reading.limit.pk).update(high=1300.0)
    reading.refresh_from_db()
    assert (reading.limit_high, reading.verdict) == (1500.0, "within")


def test_copper_is_brought_to_the_temperature_of_its_limit(ines: Actor) -> None:
    """[R] IEC 60028: 0.00393 per kelvin at 20 °C. 1.27 / (1 + 0.00393 x -20) = 1.3783 kΩ."""
    reading = a_reading(ines, a_session(ines), value="1.27", temperature="0")
    assert reading.judged_value == pytest.approx(1378.3, abs=0.1)
    assert reading.verdict == "within"
    assert "brought to 20" in reading.reason
    cold = a_reading(ines, reading.session, value="1.27", temperature="20")
    assert cold.verdict == "outside"


def test_a_winding_without_its_temperature_is_not_judged_and_says_so(ines: Actor) -> None:
    reading = a_reading(ines, a_session(ines), temperature="", unjudged=True)
    assert reading.verdict == "not_judged"
    assert "at 20" in reading.reason


@pytest.mark.parametrize("typed", ["OL", "o.l", "0L", "open", "∞"])
def test_an_open_circuit_is_outside_at_any_temperature(ines: Actor, typed: str) -> None:
    reading = a_reading(ines, a_session(ines), value=typed, temperature="")
    assert (reading.over_range, reading.value, reading.verdict) == (True, None, "outside")


def test_a_value_with_no_limit_on_the_pages_is_kept_and_not_judged(ines: Actor) -> None:
    session = a_session(ines, vehicle=a_vehicle(ines, platform="GEN"))
    reading = a_reading(ines, session, quantity="disc_runout", value="0.2", unit="mm")
    assert reading.verdict == "not_judged"
    assert reading.limit is None


def test_what_the_limit_asks_of_the_engine_must_have_been_noted(ines: Actor) -> None:
    session = a_session(ines)

    def vacuum(engine: str) -> Reading:
        return a_reading(
            ines,
            session,
            quantity="booster_vacuum",
            value="65",
            unit="kPa",
            position="",
            temperature="",
            engine=engine,
            unjudged=True,
        )

    assert vacuum("").verdict == "not_judged"
    assert vacuum("off").verdict == "not_judged"
    assert vacuum("running").verdict == "within"


@pytest.mark.parametrize(
    ("value", "unit", "temperature", "field", "says"),
    [
        ("", "kohm", "20", "value", "type a number"),
        ("about 1", "kohm", "20", "value", "number"),
        ("1,390", "kohm", "20", "value", "can be read as"),
        ("-1.39", "kohm", "20", "value", "below zero"),
        ("1.39", "V", "20", "unit", "not measured in V"),
        ("1.39", "kohm", "warm", "temperature", "number"),
        ("1.39", "kohm", "900", "temperature", "between"),
    ],
)
def test_it_refuses_what_no_meter_shows_beside_its_field_and_takes_the_right_one(
    ines: Actor, value: str, unit: str, temperature: str, field: str, says: str
) -> None:
    session = a_session(ines)
    with refused(field=field, says=says):
        a_reading(ines, session, value=value, unit=unit, temperature=temperature)
    assert a_reading(ines, session).verdict == "within"
    assert Reading.objects.count() == 1


def test_a_decimal_comma_and_another_unit_are_the_same_value(ines: Actor) -> None:
    session = a_session(ines)
    assert a_reading(ines, session, value="1,39").value == 1390.0
    assert a_reading(ines, session, value="1390", unit="ohm").value == 1390.0


def test_a_repeat_stands_beside_the_first(ines: Actor) -> None:
    session = a_session(ines)
    a_reading(ines, session, value="1.39")
    a_reading(ines, session, value="1.41")
    assert Reading.objects.filter(session=session, replaced_by=None).count() == 2


def put_right(actor: Actor, reading: Reading, *, value: str, because: str) -> Reading:
    return readings.replace(
        actor,
        reading,
        act=uuid4(),
        typed=Typed(value, "kohm", temperature="20", sure=True),
        because=because,
    )


def test_a_replaced_reading_stays_and_names_what_stands_for_it(ines: Actor) -> None:
    first = a_reading(ines, a_session(ines), value="141")
    second = put_right(ines, first, value="1.41", because="wrong range on the meter")
    first.refresh_from_db()
    assert (first.typed_value, first.replaced_by) == ("141", second)
    assert (second.verdict, second.position) == ("within", "LR")


def test_it_refuses_to_replace_without_a_reason_and_does_with_one(ines: Actor) -> None:
    first = a_reading(ines, a_session(ines), value="141")
    with refused(field="because", says="what was wrong"):
        put_right(ines, first, value="1.41", because="  ")
    put_right(ines, first, value="1.41", because="wrong range")
    assert Reading.objects.count() == 2


def test_it_refuses_to_replace_a_reading_twice_but_replaces_its_replacement(
    ines: Actor, tomas: Actor
) -> None:
    first = a_reading(ines, a_session(ines), value="141")
    second = put_right(ines, first, value="14.1", because="wrong range")
    with pytest.raises(Clash, match="already"):
        put_right(tomas, first, value="1.41", because="wrong range")
    third = put_right(tomas, second, value="1.41", because="still the wrong range")
    assert third.replaces == second


def test_the_limit_of_the_component_at_a_place_goes_before_the_general_one(ines: Actor) -> None:
    version = a_session(ines).version
    play = Quantity.objects.get(key="bearing_play")
    front, rear = (limit_for(version, play, None, place) for place in ("LF", "LR"))
    assert front is not None
    assert front.component is None
    assert rear is not None
    assert rear.component is not None
    pressure = Quantity.objects.get(key="tyre_pressure")
    axle = limit_for(version, pressure, None, "RF")
    assert axle is not None
    assert axle.position == "front"


def test_without_a_component_two_that_fit_leave_it_unjudged(ines: Actor) -> None:
    version = a_session(ines).version
    supply = Quantity.objects.get(key="supply_voltage")
    assert limit_for(version, supply, None, "") is None


def test_a_limit_is_written_with_its_condition_and_source(ines: Actor) -> None:
    version = a_session(ines).version
    row = limit_for(version, Quantity.objects.get(key="sensor_resistance"), None, "LR")
    assert row is not None
    written = shown(row)
    assert written.allowed == "1.28 – 1.50\u00a0kΩ"
    assert written.condition == "at 20\u00a0°C, at the sensor's connector, unplugged"
    assert written.asks_temperature
    assert not written.asks_engine
