"""One box that finds everything of the workshop, and nothing of another."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import Component
from diagnostics.services import flags
from diagnostics.services.flags import FlagInput
from jobs.models import RepairOrder, Replacement
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_customer, a_repair_order, a_vehicle

HTMX = {"HX-Request": "true"}


def find(actor: Actor, q: str, **more: str) -> str:
    way = reverse("find", args=[actor.workshop.slug])
    return text_of(client_of(actor).get(way, {"q": q} | more, headers=HTMX))


@pytest.fixture
def order(bela: Actor, ines: Actor) -> RepairOrder:
    """One job with something of every kind on it."""
    customer = a_customer(bela, name="Zoë K.", phone="555 0142")
    order = a_repair_order(
        bela, vehicle=a_vehicle(bela, plate="7KD 3318", customer=customer), technician=ines
    )
    flags.record_read(
        ines, order.session, act=uuid4(), module="brake control", flags=[FlagInput("C0045-13")]
    )
    complaint = order.complaints.get()
    assert order.vehicle.platform is not None
    Replacement.objects.create(
        workshop=order.workshop,
        complaint=complaint,
        component=Component.objects.filter(platform=order.vehicle.platform)[0],
        part_number="PX-77310",
        price=100,
        state_since=clock.now(),
    )
    return order


@pytest.mark.parametrize(
    ("q", "found"),
    [
        ("7kd-33", "Zoë K."),
        ("zoe", "7KD 3318"),
        ("1001", "Repair orders"),
        ("77310", "Parts on orders"),
        ("px-773", "PX-77310"),
        ("C004", "Flags read"),
        ("c0045-13", "C0045"),
        ("555 0142", "Customers"),
    ],
)
def test_any_part_of_anything_finds_it(bela: Actor, order: RepairOrder, q: str, found: str) -> None:
    shown = find(bela, q)
    assert found in shown
    assert "Nothing here fits" not in shown


def test_the_vin_finds_order_and_vehicle_alike(bela: Actor, order: RepairOrder) -> None:
    shown = find(bela, order.vehicle.vin[3:12].lower())
    assert "Repair orders" in shown
    assert "Vehicles" in shown


def test_an_exact_order_number_opens_the_order(bela: Actor, order: RepairOrder) -> None:
    way = reverse("find", args=[bela.workshop.slug])
    answer = client_of(bela).get(way, {"q": " q1001 "})
    assert answer["Location"] == reverse("order", args=[bela.workshop.slug, "Q1001"])


def test_a_stranger_finds_nothing_where_its_own_workshop_does(
    bela: Actor, pim: Actor, order: RepairOrder
) -> None:
    for q in ("7KD", "zoe", "1001", "77310", "C0045"):
        assert "Nothing here fits" in find(pim, q)
        assert "Nothing here fits" not in find(bela, q)


def test_one_letter_is_too_short_and_two_are_not(bela: Actor, order: RepairOrder) -> None:
    assert "too short" in find(bela, "7")
    assert "7KD 3318" in find(bela, "7K")


def test_one_kind_is_paged(bela: Actor) -> None:
    owner = a_customer(bela)
    for number in range(43):
        a_vehicle(bela, plate=f"AB {number:03d}", customer=owner, platform=None)
    few = find(bela, "AB 0")
    assert few.count('<li class="row">') == 5
    assert "kind=vehicles" in few
    assert find(bela, "AB 0", kind="vehicles").count('<li class="row">') == 40
    assert find(bela, "AB 0", kind="vehicles", page="2").count('<li class="row">') == 3
    assert "Nothing here fits" not in find(bela, "AB 0", kind="nonsense")


def test_it_costs_the_same_for_two_as_for_twenty(bela: Actor) -> None:
    client: Client = client_of(bela)
    way = reverse("find", args=[bela.workshop.slug])
    costs = []
    for number in (2, 20):
        while RepairOrder.objects.count() < number:
            a_repair_order(bela, vehicle=a_vehicle(bela, platform=None, customer=None))
        with counted() as queries:
            client.get(way, {"q": "ada"}, headers=HTMX)
            client.get(way, {"q": "ada", "kind": "customers"}, headers=HTMX)
        costs.append(len(queries))
    assert costs[0] == costs[1], costs
