"""The scan box leads straight to the one thing, lists several, and says when there is none."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Supplier
from jobs.queries.scan import scan
from jobs.services import shelf
from jobs.services.shelf import Particulars
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew
from tests.jobs.holding import a_held_part


def leads_to(actor: Actor, text: str) -> str:
    answer = client_of(actor).get(reverse("scan", args=[actor.workshop.slug]), {"q": text})
    assert answer.status_code == 303, text_of(answer)
    return str(answer["Location"]).removeprefix(f"/{actor.workshop.slug}")


def says(actor: Actor, text: str) -> str:
    answer = client_of(actor).get(reverse("scan", args=[actor.workshop.slug]), {"q": text})
    assert answer.status_code == 200
    return text_of(answer)


def test_each_number_of_ours_leads_to_its_page(crew: Crew) -> None:
    held = a_held_part(crew)
    order = held.replacement.complaint.order
    nuri = crew.counter
    assert leads_to(nuri, f"]Q3{held.number}\r") == f"/held/{held.number}/"
    assert leads_to(nuri, f"https://any.test/quay-street/held/{held.number}/") == (
        f"/held/{held.number}/"
    )
    assert leads_to(nuri, order.number) == f"/orders/{order.number}/"
    assert leads_to(nuri, order.vehicle.vin) == f"/orders/{order.number}/"
    assert leads_to(nuri, order.vehicle.plate.lower()) == f"/orders/{order.number}/"
    line = held.replacement.supply_line
    assert line is not None
    assert line.order.number in leads_to(nuri, line.order.number)


def test_a_part_leads_to_its_shelf(nuri: Actor) -> None:
    item = shelf.add(
        nuri,
        act=uuid4(),
        part_number="PL2-31-077",
        counted=1,
        particulars=Particulars("pump", unit_cost=Decimal("9.00")),
    )
    assert leads_to(nuri, "1P pl2 31 077") == f"/stock/{item.pk}/"


def test_an_old_number_names_the_one_it_became_before_leading_there(crew: Crew) -> None:
    assert "Nothing here has that number" in says(crew.counter, "PL2-20-210")
    item = shelf.add(
        crew.counter,
        act=uuid4(),
        part_number="PL2-20-214",
        counted=1,
        particulars=Particulars("hub", unit_cost=Decimal("9.00")),
    )
    for old in ("PL2-20-210", "pl220212"):
        said = says(crew.counter, old)
        assert "in place of PL2-20-21" in said
        assert f"/stock/{item.pk}/" in said
    assert "Nothing here has that number" in says(crew.technician, "PL2-20-210")
    assert leads_to(crew.counter, "PL2-20-214") == f"/stock/{item.pk}/"


def test_a_vehicle_that_is_not_here_leads_to_its_page(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    assert leads_to(bela, vehicle.vin) == f"/vehicles/{vehicle.pk}/"


def test_several_are_listed(bela: Actor) -> None:
    vehicle = a_vehicle(bela)
    numbers = [a_repair_order(bela, vehicle=vehicle).number for _ in range(2)]
    said = says(bela, vehicle.vin)
    assert all(number in said for number in numbers)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("ZZ-9-9", "Nothing here has that number"),
        ("", "Scan a label, or type"),
        ("https://any.test/millrace/orders/M1001/", "belongs to another workshop"),
        ("https://any.test/else", "an address, but of no page"),
    ],
)
def test_none_is_a_sentence(nuri: Actor, text: str, sentence: str) -> None:
    assert sentence in says(nuri, text)


def test_a_stranger_finds_nothing_of_ours(crew: Crew, pim: Actor) -> None:
    held = a_held_part(crew)
    Supplier.objects.create(workshop=pim.workshop, name="Theirs")
    for text in (
        held.number,
        held.replacement.part_number,
        held.replacement.complaint.order.number,
    ):
        assert scan(pim, text)[1] == ()


def test_a_technician_is_not_led_to_the_shelf(nuri: Actor, ines: Actor) -> None:
    shelf.add(nuri, act=uuid4(), part_number="X-77", counted=1, particulars=Particulars("thing"))
    assert scan(ines, "X-77")[1] == ()
    assert scan(nuri, "X-77")[1] != ()
