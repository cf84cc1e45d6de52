"""A vehicle that is gone: who says so, from which day on, and what becomes of its units."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils.timezone import localtime

from jobs.models import FittedUnit
from jobs.queries.units import units_on
from jobs.services import gone
from jobs.stages import Move
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry, Vehicle
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order, a_vehicle, an_odometer_reading
from tests.jobs.along import Crew, go
from tests.jobs.lives.keeping import assert_kept_as_rebuilt, lives_at
from tests.jobs.lives.test_kept import fit_the_hub

HUB = ("hub_and_sensor", "LR")


@pytest.fixture
def vehicle(bela: Actor) -> Vehicle:
    """Last seen ten days ago."""
    found = a_vehicle(bela)
    with clock.at(clock.now() - timedelta(days=10)):
        an_odometer_reading(bela, vehicle=found, value="60000")
    return found


def days_ago(days: int) -> date:
    return localtime(clock.now() - timedelta(days=days)).date()


def say(actor: Actor, vehicle: Vehicle, **more: Any) -> None:
    said: dict[str, Any] = {"act": uuid4(), "revision": vehicle.revision, "gone": "scrapped"}
    gone.say(actor, vehicle, **(said | {"gone_on": days_ago(3)} | more))


def test_its_units_leave_with_it_on_that_day(bela: Actor, vehicle: Vehicle) -> None:
    say(bela, vehicle)
    units = FittedUnit.objects.filter(vehicle=vehicle)
    assert {(unit.exit, unit.out_day, unit.left_on) for unit in units} == {
        ("gone", days_ago(3).toordinal(), days_ago(3))
    }
    assert (vehicle.gone, vehicle.gone_on) == ("scrapped", days_ago(3))
    assert "is gone since" in LogEntry.objects.latest("pk").words
    assert_kept_as_rebuilt(vehicle.workshop)


def test_taken_back_it_never_was(bela: Actor, vehicle: Vehicle) -> None:
    say(bela, vehicle)
    gone.undo(bela, vehicle, act=uuid4(), revision=vehicle.revision)
    (unit,) = lives_at(vehicle, *HUB)
    assert (unit.exit, unit.left_on, unit.left_at_m) == ("", None, None)
    assert unit.out_day == days_ago(10).toordinal()
    assert_kept_as_rebuilt(vehicle.workshop)
    with refused(says="not down as gone"):
        gone.undo(bela, vehicle, act=uuid4(), revision=vehicle.revision)
    say(bela, vehicle)


def test_the_day_is_neither_to_come_nor_before_it_was_last_seen(
    bela: Actor, vehicle: Vehicle
) -> None:
    with refused(field="gone_on", says="still to come"):
        say(bela, vehicle, gone_on=days_ago(-1))
    with refused(field="gone_on", says="It was last seen on"):
        say(bela, vehicle, gone_on=days_ago(11))
    with refused(field="gone", says="Choose"):
        say(bela, vehicle, gone="stolen")
    say(bela, vehicle, gone_on=days_ago(10))
    assert vehicle.gone_on == days_ago(10)


def test_one_that_stands_here_is_not_gone(crew: Crew, vehicle: Vehicle) -> None:
    order = a_repair_order(crew.manager, vehicle=vehicle, odometer="60500")
    with refused(says=f"here on {order.number}"):
        say(crew.manager, vehicle, gone_on=days_ago(0))
    go(crew.manager, order, Move.VOID, reason="Opened by mistake")
    say(crew.manager, vehicle, gone_on=days_ago(0))
    assert_kept_as_rebuilt(vehicle.workshop)


def test_taken_in_on_that_very_day_it_is_not_gone(bela: Actor, vehicle: Vehicle) -> None:
    say(bela, vehicle, gone_on=days_ago(0))
    a_repair_order(bela, vehicle=vehicle, odometer="60500")
    vehicle.refresh_from_db()
    assert (vehicle.gone, vehicle.gone_on) == ("", None)
    (unit,) = lives_at(vehicle, *HUB)
    assert (unit.exit, unit.in_day) == ("", days_ago(10).toordinal())
    assert_kept_as_rebuilt(vehicle.workshop)


def test_seen_again_later_its_units_are_counted_anew(bela: Actor, vehicle: Vehicle) -> None:
    say(bela, vehicle)
    a_repair_order(bela, vehicle=vehicle, odometer="60500")
    vehicle.refresh_from_db()
    assert vehicle.gone == "scrapped"
    old, new = lives_at(vehicle, *HUB)
    assert (old.exit, old.out_day) == ("gone", days_ago(3).toordinal())
    assert (new.entry, new.exit, new.in_day) == ("first_seen", "", days_ago(0).toordinal())
    assert_kept_as_rebuilt(vehicle.workshop)


def test_who_saw_an_older_state_is_told(bela: Actor, vehicle: Vehicle) -> None:
    seen, act = vehicle.revision, uuid4()
    say(bela, vehicle, act=act)
    with pytest.raises(Clash):
        say(bela, vehicle, revision=seen)
    with pytest.raises(AlreadyDone):
        say(bela, vehicle, act=act)


def test_only_who_may_change_a_vehicle_says_so(bela: Actor, nuri: Actor, vehicle: Vehicle) -> None:
    with refused(says="manager or a technician"):
        say(nuri, vehicle)
    say(bela, vehicle)


def test_the_page_asks_says_what_follows_and_takes_it_back(bela: Actor, vehicle: Vehicle) -> None:
    client = client_of(bela)
    page = reverse("vehicle", args=[bela.workshop.slug, vehicle.pk])
    at = reverse("vehicle-gone", args=[bela.workshop.slug, vehicle.pk])
    back = reverse("vehicle-not-gone", args=[bela.workshop.slug, vehicle.pk])
    assert at in client.get(page).content.decode()
    assert "failure rates stay right" in text_of(client.get(at))
    sent = {"act": uuid4(), "revision": vehicle.revision, "gone": "sold_away"}
    early = client.post(at, sent | {"gone_on": days_ago(20).isoformat()})
    assert "It was last seen on" in text_of(early)
    client.post(at, sent | {"gone_on": days_ago(2).isoformat()})
    shown = text_of(client.get(page))
    assert "Sold to somewhere else: gone since" in shown
    assert "The vehicle is gone, and its units with it." in shown
    vehicle.refresh_from_db()
    client.post(back, {"act": uuid4(), "revision": vehicle.revision})
    vehicle.refresh_from_db()
    assert vehicle.gone == ""
    assert "units first seen with the vehicle" in text_of(client.get(page))


def test_the_page_shows_what_is_on_it_now(crew: Crew) -> None:
    car = a_vehicle(crew.manager)
    page = reverse("vehicle", args=[car.workshop.slug, car.pk])
    client = client_of(crew.manager)
    assert "watched from the first distance that is read" in text_of(client.get(page))
    with clock.at(clock.now() - timedelta(days=100)):
        order = a_repair_order(
            crew.manager, vehicle=car, odometer="60000", technician=crew.technician
        )
        fit_the_hub(crew, order, serial_on="HS24-2", batch_on="BA24-3")
    an_odometer_reading(crew.manager, vehicle=car, value="65000")
    (known,) = units_on(crew.manager, car).known
    assert (known.unit.serial_number, known.months, known.driven) == ("HS24-2", "3", "5000 km")
    shown = text_of(client.get(page))
    assert "HS24-2" in shown
    assert "BA24-3" in shown
    assert "29 units first seen with the vehicle" in shown
