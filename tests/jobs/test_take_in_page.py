"""The take-in page: found, filled in, sent once, with nothing typed ever lost."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import ChassisSystem, LampCheck
from jobs.models import RepairOrder
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.models import Vehicle
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_customer, a_repair_order, a_vehicle, a_vin

HTMX = {"HX-Request": "true"}


def at(actor: Actor, name: str, *args: Any) -> str:
    return reverse(name, args=[actor.workshop.slug, *args])


def typed(**more: Any) -> dict[str, Any]:
    """What a person sends: one complaint, and what else is said."""
    return {
        "act": str(uuid4()),
        "odometer": "84120",
        "odometer_unit": "km",
        "line-TOTAL_FORMS": "1",
        "line-INITIAL_FORMS": "0",
        "line-0-words": "Yellow light came on after the car wash",
        "line-0-payer": "customer",
    } | more


@pytest.fixture
def desk(bela: Actor) -> Client:
    return client_of(bela)


@pytest.mark.parametrize("letters", ["3318", "7kd-33", "zzpl2a", "mara", "MÁRA"])
def test_a_vehicle_is_found_by_any_part_of_vin_plate_or_name(
    bela: Actor, desk: Client, letters: str
) -> None:
    vehicle = a_vehicle(
        bela, plate="7KD 3318", customer=a_customer(bela, name="Mara K."), platform=None
    )
    shown = text_of(desk.get(at(bela, "take-in"), {"q": letters}))
    assert at(bela, "take-in-known", vehicle.pk) in shown
    part = desk.get(at(bela, "take-in"), {"q": letters}, headers=HTMX)
    assert "<html" not in text_of(part)


def test_a_known_vehicle_is_taken_in_by_one_sending(bela: Actor, desk: Client) -> None:
    vehicle = a_vehicle(bela)
    page = text_of(desk.get(at(bela, "take-in-known", vehicle.pk)))
    assert vehicle.vin in page
    sent = desk.post(
        at(bela, "take-in-known", vehicle.pk),
        typed(**{"amber_antilock-engine_running": "steady"}),
    )
    order = RepairOrder.objects.get()
    assert (sent.status_code, sent["Location"]) == (303, at(bela, "order", order.number))
    assert LampCheck.objects.get().session == order.session


def test_sent_twice_it_answers_alike_and_opens_one_order(bela: Actor, desk: Client) -> None:
    way, data = at(bela, "take-in-known", a_vehicle(bela).pk), typed()
    first, second = desk.post(way, data), desk.post(way, data, headers=HTMX)
    order = RepairOrder.objects.get()
    assert first["Location"] == second["HX-Redirect"] == at(bela, "order", order.number)


def test_what_is_wrong_is_told_beside_its_field_and_all_that_was_typed_stays(
    bela: Actor, desk: Client
) -> None:
    way = at(bela, "take-in-known", a_vehicle(bela).pk)
    data = typed(**{"odometer": "", "red_brake-key_on": "steady", "promised_at": "tomorrow"})
    answer = desk.post(way, data)
    page = text_of(answer)
    assert answer.status_code == 200
    assert "Write what the odometer shows, such as 41870." in page
    assert "Write a date and a time" in page
    assert "Yellow light came on after the car wash</textarea>" in page
    assert 'name="red_brake-key_on" value="steady" checked' in page
    assert data["act"] in page
    assert desk.post(way, typed()).status_code == 303


def test_a_lower_odometer_is_asked_about_beside_a_field_for_the_reason(
    bela: Actor, desk: Client
) -> None:
    vehicle = a_vehicle(bela)
    order = a_repair_order(bela, vehicle=vehicle)
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.VOID, closed_at=clock.now())
    way = at(bela, "take-in-known", vehicle.pk)
    assert "odometer_reason" not in text_of(desk.get(way))
    asked = text_of(desk.post(way, typed(odometer="12"), headers=HTMX))
    assert "is less than the" in asked
    assert 'name="odometer_reason"' in asked
    sent = desk.post(way, typed(odometer="12", odometer_reason="Instrument replaced"))
    assert sent.status_code == 303


def test_another_line_and_one_less_keep_what_was_typed(bela: Actor, desk: Client) -> None:
    way = at(bela, "take-in-known", a_vehicle(bela).pk)
    more = text_of(desk.post(way, typed(do="more"), headers=HTMX))
    assert 'name="line-1-words"' in more
    assert "Yellow light came on after the car wash</textarea>" in more
    assert 'value="84120"' in more
    two = {"line-TOTAL_FORMS": "2", "line-1-words": "Steering heavy", "line-1-payer": "customer"}
    less = text_of(desk.post(way, typed(do="off-0", **two), headers=HTMX))
    assert "Steering heavy</textarea>" in less
    assert "Yellow light" not in less
    assert not RepairOrder.objects.exists()
    desk.post(way, typed(**two))
    assert RepairOrder.objects.get().complaints.count() == 2


def test_what_it_came_in_for_before_is_shown_before_the_words_are_written(
    bela: Actor, desk: Client
) -> None:
    vehicle = a_vehicle(bela)
    line = a_complaint_line(words="Light comes and goes", system="brake_control")
    order = a_repair_order(bela, vehicle=vehicle, complaints=[line])
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.RELEASED, closed_at=clock.now())
    way = at(bela, "take-in-known", vehicle.pk)
    page = text_of(desk.get(way))
    assert page.index("Light comes and goes") < page.index('name="line-0-words"')
    brakes = str(ChassisSystem.objects.get(key="brake_control").pk)
    asked = at(bela, "take-in-earlier", vehicle.pk)
    part = text_of(desk.get(asked, {"line-0-system": brakes}, headers=HTMX))
    assert "possible comeback" in part
    steering = str(ChassisSystem.objects.get(key="power_steering").pk)
    assert "Never here before about this system" in text_of(
        desk.get(asked, {"line-0-system": steering}, headers=HTMX)
    )
    plain = text_of(desk.post(way, typed(do="look", **{"line-0-system": brakes})))
    assert "possible comeback" in plain


def test_a_vehicle_not_known_yet_comes_in_with_its_owner(bela: Actor, desk: Client) -> None:
    vin = a_vin()
    way = at(bela, "take-in-new")
    assert f'value="{vin}"' in text_of(desk.get(way, {"q": vin}))
    half = typed(vin=vin, name="Jon F.")
    refused = text_of(desk.post(way, half))
    assert "telephone number or an e-mail address" in refused
    assert "Yellow light came on after the car wash</textarea>" in refused
    assert not Vehicle.objects.exists()
    assert desk.post(way, typed(vin=vin, name="Jon F.", phone="555 0150")).status_code == 303
    order = RepairOrder.objects.get()
    assert (order.vehicle.vin, order.vehicle.model_year) == (vin, 2021)
    assert order.customer.name == "Jon F."


def test_a_second_vehicle_of_a_known_customer_is_told_apart_by_choosing_them(
    bela: Actor, desk: Client
) -> None:
    ada = a_customer(bela, name="Ada W.")
    says = text_of(desk.get(at(bela, "owner-check"), {"name": "ada"}, headers=HTMX))
    assert f'value="{ada.pk}"' in says
    desk.post(at(bela, "take-in-new"), typed(vin=a_vin(), known_customer=str(ada.pk)))
    assert RepairOrder.objects.get().customer == ada


def test_a_vin_that_is_known_offers_that_vehicle_with_all_that_was_typed(
    bela: Actor, desk: Client
) -> None:
    vehicle = a_vehicle(bela, plate="7KD 3318")
    data = typed(vin=vehicle.vin, name="Ada W.", phone="555 0123")
    refused = text_of(desk.post(at(bela, "take-in-new"), data))
    assert "This VIN is here already: 7KD 3318" in refused
    instead = text_of(desk.post(at(bela, "take-in-new"), data | {"do": "use"}))
    assert f'action="{at(bela, "take-in-known", vehicle.pk)}"' in instead
    assert "Yellow light came on after the car wash</textarea>" in instead
    assert 'value="84120"' in instead


def test_a_technician_takes_in_but_is_not_asked_who_works_on_it(bela: Actor, ines: Actor) -> None:
    way = at(ines, "take-in-known", a_vehicle(bela).pk)
    client = client_of(ines)
    assert 'name="technician"' not in text_of(client.get(way))
    assert 'name="technician"' in text_of(client_of(bela).get(way))
    assert client.post(way, typed()).status_code == 303


def test_the_parts_counter_is_told_who_takes_in(bela: Actor, nuri: Actor) -> None:
    answer = client_of(nuri).get(at(nuri, "take-in"))
    assert answer.status_code == 403
    assert "takes a vehicle in" in text_of(answer)
    assert client_of(bela).get(at(bela, "take-in")).status_code == 200


def test_a_stranger_gets_404_for_a_vehicle_that_its_own_workshop_takes_in(
    bela: Actor, pim: Actor
) -> None:
    vehicle = a_vehicle(bela)
    client = client_of(pim)
    for name in ("take-in-known", "take-in-earlier"):
        assert client.get(at(pim, name, vehicle.pk)).status_code == 404
    assert client_of(bela).get(at(bela, "take-in-known", vehicle.pk)).status_code == 200


def test_the_page_costs_the_same_however_often_the_vehicle_was_here(
    bela: Actor, desk: Client
) -> None:
    vehicle = a_vehicle(bela)
    costs = []
    for visits in (2, 12):
        while RepairOrder.objects.count() < visits:
            a_repair_order(bela, vehicle=vehicle)
        with counted() as queries:
            assert desk.get(at(bela, "take-in-known", vehicle.pk)).status_code == 200
        costs.append(len(queries))
    assert costs[0] == costs[1], costs
