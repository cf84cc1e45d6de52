"""The pages on which vehicles, owners and distances are written down."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from shop.actor import Actor
from shop.models import Customer, OdometerReading, Vehicle
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_customer, a_vehicle, a_vin, an_odometer_reading

HTMX = {"HX-Request": "true"}


@pytest.fixture
def desk(bela: Actor) -> Client:
    return client_of(bela)


def at(actor: Actor, name: str, *args: Any) -> str:
    return reverse(name, args=[actor.workshop.slug, *args])


def wrong_digit(vin: str) -> str:
    return vin[:8] + ("1" if vin[8] != "1" else "2") + vin[9:]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("9ZZPL2", "11 characters to go"),
        ("9ZZPL2AOOM1", "letter O"),
        ("9ZZPL2A0_M1000001", "has only the digits"),
    ],
)
def test_a_vin_is_checked_as_it_is_typed(bela: Actor, desk: Client, typed: str, says: str) -> None:
    assert says in text_of(desk.get(at(bela, "vin-check"), {"vin": typed}, headers=HTMX))


def test_a_good_vin_is_told_with_its_year_and_a_known_one_with_its_plate(
    bela: Actor, desk: Client
) -> None:
    vehicle = a_vehicle(bela, plate="7KD 3318", platform=None)
    says = text_of(desk.get(at(bela, "vin-check"), {"vin": vehicle.vin.lower()}))
    assert "the check digit agrees" in says
    assert "model year 2021" in says
    assert "7KD 3318" in says
    own = text_of(desk.get(at(bela, "vin-check"), {"vin": vehicle.vin, "own": str(vehicle.pk)}))
    assert "7KD 3318" not in own


def test_a_wrong_check_digit_opens_the_field_for_the_reason_and_keeps_it(
    bela: Actor, desk: Client
) -> None:
    vin = wrong_digit(a_vin())
    says = text_of(desk.get(at(bela, "vin-check"), {"vin": vin, "vin_overrule_reason": "So it is"}))
    assert 'name="vin_overrule_reason"' in says
    assert 'value="So it is"' in says
    data = {"act": str(uuid4()), "vin": vin, "name": "Ada W.", "phone": "555 0123"}
    asked = text_of(desk.post(at(bela, "vehicle-new"), data))
    assert 'aria-invalid="true" aria-describedby="id_vin_overrule_reason_error"' in asked
    assert not Vehicle.objects.exists()
    desk.post(at(bela, "vehicle-new"), data | {"vin_overrule_reason": "Reads so on the plate"})
    assert Vehicle.objects.get().vin_overrule_reason == "Reads so on the plate"


def test_a_tyre_size_is_echoed_as_it_was_understood(bela: Actor, desk: Client) -> None:
    says = text_of(desk.get(at(bela, "tyre-check"), {"tyre_size": "185/65r15"}))
    assert "185 mm wide, side 65 % of that, rim 15 in" in says
    assert "mm wide" not in text_of(desk.get(at(bela, "tyre-check"), {"tyre_size": "round"}))


def test_a_vehicle_is_added_and_sent_twice_added_once(bela: Actor, desk: Client) -> None:
    data = {"act": str(uuid4()), "vin": a_vin(), "name": "Ada W.", "phone": "555 0123"}
    first = desk.post(at(bela, "vehicle-new"), data)
    second = desk.post(at(bela, "vehicle-new"), data)
    vehicle = Vehicle.objects.get()
    assert first["Location"] == second["Location"] == at(bela, "vehicle", vehicle.pk)
    assert Customer.objects.count() == 1


def test_what_is_wrong_is_told_beside_its_field_and_all_that_was_typed_stays(
    bela: Actor, desk: Client
) -> None:
    data = {
        "act": str(uuid4()),
        "vin": "9ZZ",
        "plate": "7KD 3318",
        "tyre_size": "round",
        "name": "Ada W.",
        "model_year": "twenty",
    }
    page = text_of(desk.post(at(bela, "vehicle-new"), data))
    assert "Write four digits" in page
    for kept in ("7KD 3318", "round", "Ada W.", "twenty"):
        assert f'value="{kept}"' in page


def test_a_clash_shows_what_stands_now_and_keeps_what_was_typed(bela: Actor, desk: Client) -> None:
    vehicle = a_vehicle(bela, plate="7KD 3318", platform=None)
    way = at(bela, "vehicle-edit", vehicle.pk)
    sent = {"act": str(uuid4()), "vin": vehicle.vin, "plate": "7KD 3319", "revision": "1"}
    assert desk.post(way, sent).status_code == 303
    clash = text_of(desk.post(way, sent | {"act": str(uuid4()), "plate": "7KD 3320"}))
    assert "Somebody changed this vehicle meanwhile" in clash
    assert "As it stands now" in clash
    assert 'value="7KD 3320"' in clash
    assert 'name="revision" value="2"' in clash
    again = sent | {"act": str(uuid4()), "plate": "7KD 3320", "revision": "2"}
    assert desk.post(way, again).status_code == 303
    assert Vehicle.objects.get().plate == "7KD 3320"


def test_a_customer_is_changed_and_an_older_state_is_told(bela: Actor, desk: Client) -> None:
    customer = a_customer(bela)
    way = at(bela, "customer-edit", customer.pk)
    sent = {"act": str(uuid4()), "name": "Ada W.", "phone": "555 0999", "revision": "1"}
    assert desk.post(way, sent).status_code == 303
    clash = text_of(desk.post(way, sent | {"act": str(uuid4()), "phone": "555 0111"}))
    assert "Somebody changed this customer meanwhile" in clash
    assert Customer.objects.get().phone == "555 0999"


def test_a_vehicle_gets_another_owner(bela: Actor, desk: Client) -> None:
    vehicle = a_vehicle(bela, platform=None)
    way = at(bela, "vehicle-owner", vehicle.pk)
    assert desk.get(way).status_code == 200
    sent = {"act": str(uuid4()), "revision": "1", "name": "Jon F.", "phone": "555 0150"}
    assert desk.post(way, sent).status_code == 303
    assert Vehicle.objects.get().customer.name == "Jon F."


def test_a_strange_distance_is_asked_about_on_its_page(bela: Actor, desk: Client) -> None:
    vehicle = a_vehicle(bela, platform=None)
    an_odometer_reading(bela, vehicle=vehicle, value="60000")
    way = at(bela, "odometer-note", vehicle.pk)
    sent = {"act": str(uuid4()), "odometer": "12", "odometer_unit": "km"}
    assert "is less than the" in text_of(desk.post(way, sent))
    assert desk.post(way, sent | {"odometer_reason": "Replaced"}).status_code == 303
    assert OdometerReading.objects.count() == 2


def test_the_list_narrows_as_letters_are_typed_and_says_when_nothing_fits(
    bela: Actor, desk: Client
) -> None:
    a_vehicle(bela, plate="7KD 3318", platform=None)
    a_vehicle(bela, plate="9SA 4407", platform=None)
    way = at(bela, "vehicles")
    assert "9SA 4407" in text_of(desk.get(way))
    part = text_of(desk.get(way, {"q": "7kd"}, headers=HTMX))
    assert "7KD 3318" in part
    assert "9SA 4407" not in part
    assert "Nothing fits that" in text_of(desk.get(way, {"q": "zzz"}))


@pytest.mark.parametrize("name", ["vehicle-edit", "vehicle-owner", "odometer-note"])
def test_a_stranger_gets_404_where_its_own_workshop_goes_on(
    bela: Actor, pim: Actor, desk: Client, name: str
) -> None:
    vehicle = a_vehicle(bela, platform=None)
    assert client_of(pim).get(at(pim, name, vehicle.pk)).status_code == 404
    assert client_of(pim).get(at(pim, "customer-edit", vehicle.customer_id)).status_code == 404
    assert "7KD" not in text_of(client_of(pim).get(at(pim, "vehicles")))
    assert desk.get(at(bela, name, vehicle.pk)).status_code == 200


def test_the_parts_counter_is_told_who_changes_a_vehicle(bela: Actor, nuri: Actor) -> None:
    vehicle = a_vehicle(bela, platform=None)
    answer = client_of(nuri).get(at(nuri, "vehicle-edit", vehicle.pk))
    assert answer.status_code == 403
    assert "Tell the Desk" in text_of(answer)
    assert client_of(nuri).get(at(nuri, "vehicles")).status_code == 200


def test_the_list_costs_the_same_for_two_as_for_twenty(bela: Actor, desk: Client) -> None:
    costs = []
    for number in (2, 20):
        while Vehicle.objects.count() < number:
            an_odometer_reading(bela, vehicle=a_vehicle(bela, platform=None))
        with counted() as queries:
            desk.get(at(bela, "vehicles"))
        costs.append(len(queries))
    assert costs[0] == costs[1], costs
