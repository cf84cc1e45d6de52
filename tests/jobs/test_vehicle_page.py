"""A vehicle's own page: what it is, whose it is, what it came in for."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse

from diagnostics.models import Session
from jobs.models import RepairOrder
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.models import Vehicle
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_repair_order, a_vehicle, an_odometer_reading


def page(actor: Actor, vehicle: Vehicle) -> str:
    way = reverse("vehicle", args=[actor.workshop.slug, vehicle.pk])
    return text_of(client_of(actor).get(way))


def test_it_leads_to_the_order_on_which_the_vehicle_is_here(bela: Actor) -> None:
    vehicle = a_vehicle(bela, plate="7KD 3318")
    assert "Never taken in yet" in page(bela, vehicle)
    assert reverse("take-in-known", args=[bela.workshop.slug, vehicle.pk]) in page(bela, vehicle)
    order = a_repair_order(bela, vehicle=vehicle)
    assert "Go to Q1001" in page(bela, vehicle)
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.RELEASED, closed_at=clock.now())
    assert "Go to Q1001" not in page(bela, vehicle)
    assert "Yellow light came on after the car wash" in page(bela, vehicle)


def test_a_distance_that_went_back_is_marked_with_its_reason(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    an_odometer_reading(bela, vehicle=vehicle, value="60000")
    an_odometer_reading(bela, vehicle=vehicle, value="12", reason="Instrument replaced")
    shown = page(bela, vehicle)
    assert "lower than before" in shown
    assert "Instrument replaced" in shown


def test_the_parts_counter_reads_it_and_is_offered_no_change(bela: Actor, nuri: Actor) -> None:
    vehicle = a_vehicle(bela)
    change = reverse("vehicle-edit", args=[bela.workshop.slug, vehicle.pk])
    assert vehicle.vin in page(nuri, vehicle)
    assert change not in page(nuri, vehicle)
    assert change in page(bela, vehicle)


def test_a_stranger_gets_404_where_its_own_workshop_reads(bela: Actor, pim: Actor) -> None:
    vehicle = a_vehicle(bela)
    way = reverse("vehicle", args=[pim.workshop.slug, vehicle.pk])
    assert client_of(pim).get(way).status_code == 404
    assert vehicle.vin in page(bela, vehicle)


def test_it_costs_the_same_for_two_visits_as_for_twenty(bela: Actor) -> None:
    vehicle, costs = a_vehicle(bela), []
    for number in (2, 20):
        while RepairOrder.objects.count() < number:
            a_repair_order(bela, vehicle=vehicle)
        with counted() as queries:
            page(bela, vehicle)
        costs.append(len(queries))
    # The pager counts once there is more than a page; nothing else may grow.
    assert costs[0] == costs[1], costs


def test_a_quick_check_needs_no_order_and_sent_twice_begins_once(bela: Actor, ines: Actor) -> None:
    vehicle = a_vehicle(bela)
    client = client_of(ines)
    way = reverse("check-begin", args=[ines.workshop.slug, vehicle.pk])
    act = {"act": str(uuid4())}
    first, second = client.post(way, act), client.post(way, act)
    session = Session.objects.get()
    assert session.vehicle == vehicle
    assert first["Location"] == second["Location"]
    assert client.get(first["Location"]).status_code == 200
    assert first["Location"] in page(bela, vehicle)


def test_the_parts_counter_is_told_who_measures(bela: Actor, nuri: Actor, pim: Actor) -> None:
    vehicle = a_vehicle(bela)
    act = {"act": str(uuid4())}
    way = reverse("check-begin", args=[bela.workshop.slug, vehicle.pk])
    assert client_of(nuri).post(way, act).status_code == 403
    elsewhere = reverse("check-begin", args=[pim.workshop.slug, vehicle.pk])
    assert client_of(pim).post(elsewhere, act).status_code == 404
    assert client_of(bela).post(way, act).status_code == 303
