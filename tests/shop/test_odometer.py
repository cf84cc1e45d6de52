"""Odometer readings: as typed, questioned when strange, never edited."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import OdometerReading, Vehicle
from shop.services.odometer import OdometerInput, note
from tests.asserts import refused
from tests.factories import a_vehicle, an_odometer_reading


@pytest.fixture
def vehicle(bela: Actor) -> Vehicle:
    return a_vehicle(bela, platform=None)


@pytest.mark.parametrize(
    ("typed", "unit", "metres", "shown"),
    [
        ("84120", "km", 84_120_000, "84\u202f120 km"),
        ("84,120", "km", 84_120_000, "84\u202f120 km"),
        ("84.120", "km", 84_120_000, "84\u202f120 km"),
        ("84 120.5", "km", 84_120_500, "84\u202f120.5 km"),
        # NIST SP 811 (2008), appendix B.8: 1 mi = 1609.344 m [R]
        ("1000", "mi", 1_609_344, "1000 mi"),
        ("0", "km", 0, "0 km"),
    ],
)
def test_a_distance_is_kept_in_metres_with_what_was_typed(
    bela: Actor, vehicle: Vehicle, typed: str, unit: str, metres: int, shown: str
) -> None:
    reading = an_odometer_reading(bela, vehicle=vehicle, value=typed, unit=unit)
    assert reading.distance_m == metres
    assert str(reading).replace("\u00a0", "\u202f") == shown


@pytest.mark.parametrize("typed", ["", "  ", "-5", "many", "99999999", "12 km"])
def test_it_refuses_what_is_no_distance_and_takes_one(
    bela: Actor, vehicle: Vehicle, typed: str
) -> None:
    with refused(field="odometer"):
        an_odometer_reading(bela, vehicle=vehicle, value=typed)
    assert an_odometer_reading(bela, vehicle=vehicle, value="12").pk


def test_a_lower_distance_is_asked_about_and_kept_with_its_reason(
    bela: Actor, vehicle: Vehicle
) -> None:
    an_odometer_reading(bela, vehicle=vehicle, value="60000")
    with refused(field="odometer_reason", says="less than"):
        an_odometer_reading(bela, vehicle=vehicle, value="12")
    kept = an_odometer_reading(bela, vehicle=vehicle, value="12", reason="Instrument replaced")
    assert kept.lower_than_before
    assert kept.lower_reason == "Instrument replaced"
    after = an_odometer_reading(bela, vehicle=vehicle, value="30")
    assert not after.lower_than_before


def test_a_jump_is_asked_about_and_is_not_called_lower(bela: Actor, vehicle: Vehicle) -> None:
    with clock.at(clock.now() - timedelta(days=2)):
        an_odometer_reading(bela, vehicle=vehicle, value="60000")
    with refused(field="odometer_reason", says="far more"):
        an_odometer_reading(bela, vehicle=vehicle, value="600000")
    kept = an_odometer_reading(bela, vehicle=vehicle, value="600000", reason="First one was wrong")
    assert not kept.lower_than_before


def test_an_earlier_day_is_compared_with_what_was_known_then(bela: Actor, vehicle: Vehicle) -> None:
    an_odometer_reading(bela, vehicle=vehicle, value="60000")
    with clock.at(clock.now() - timedelta(days=100)):
        assert not an_odometer_reading(bela, vehicle=vehicle, value="50000").lower_than_before


def test_sent_twice_a_distance_is_noted_once(bela: Actor, vehicle: Vehicle) -> None:
    act, seen = uuid4(), OdometerInput("60000", "km")
    note(bela, vehicle, seen, seen_at=OdometerReading.Seen.NOTED, act=act)
    with pytest.raises(AlreadyDone):
        note(bela, vehicle, seen, seen_at=OdometerReading.Seen.NOTED, act=act)
    assert vehicle.odometer_readings.count() == 1


def test_it_refuses_the_parts_counter_and_a_stranger_and_lets_a_technician(
    vehicle: Vehicle, nuri: Actor, pim: Actor, ines: Actor
) -> None:
    with refused(says="tell the desk"):
        an_odometer_reading(nuri, vehicle=vehicle)
    with refused(field="odometer", says="another workshop"):
        an_odometer_reading(pim, vehicle=vehicle)
    assert an_odometer_reading(ines, vehicle=vehicle).pk
