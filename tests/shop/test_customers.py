"""Adding customers and keeping their details right."""

from __future__ import annotations

from uuid import uuid4

import pytest

from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import Customer, LogEntry
from shop.services.customers import CustomerInput, add_customer, change_customer
from tests.asserts import refused
from tests.factories import a_customer


@pytest.mark.parametrize(
    ("details", "field"),
    [
        (CustomerInput("  ", "555 0123"), "name"),
        (CustomerInput("Ada W."), "phone"),
        (CustomerInput("Ada W.", "123"), "phone"),
        (CustomerInput("Ada W.", "", "ada at home"), "email"),
    ],
)
def test_it_refuses_a_customer_who_cannot_be_reached_and_takes_one_who_can(
    bela: Actor, details: CustomerInput, field: str
) -> None:
    with refused(field=field):
        add_customer(bela, act=uuid4(), details=details)
    assert not Customer.objects.exists()
    made = add_customer(bela, act=uuid4(), details=CustomerInput("Ada  W.", "", "ada@example.org"))
    assert (made.name, made.name_key) == ("Ada W.", "ada w.")


def test_sent_twice_a_customer_is_added_once(bela: Actor) -> None:
    act, details = uuid4(), CustomerInput("Ada W.", "555 0123")
    add_customer(bela, act=act, details=details)
    with pytest.raises(AlreadyDone):
        add_customer(bela, act=act, details=details)
    assert Customer.objects.count() == 1


def test_it_refuses_the_parts_counter_and_lets_a_technician(nuri: Actor, ines: Actor) -> None:
    with refused(says="tell the desk"):
        a_customer(nuri)
    assert a_customer(ines).pk


def test_a_second_tablet_with_older_details_is_told_and_may_then_go_on(
    bela: Actor, ines: Actor
) -> None:
    customer = a_customer(bela)
    seen = customer.revision
    details = CustomerInput("Ada W.", "555 0999")
    change_customer(ines, customer, act=uuid4(), revision=seen, details=details)
    other = Customer.objects.get(pk=customer.pk)
    with pytest.raises(Clash):
        change_customer(
            bela, other, act=uuid4(), revision=seen, details=CustomerInput("Ada", "555 0111")
        )
    assert Customer.objects.get(pk=customer.pk).phone == "555 0999"
    change_customer(
        bela, other, act=uuid4(), revision=seen + 1, details=CustomerInput("Ada", "555 0111")
    )
    assert Customer.objects.get(pk=customer.pk).name_key == "ada"
    told = LogEntry.objects.filter(kind="customer").values_list("words", flat=True)
    assert "changed Ada’s name and telephone" in told
