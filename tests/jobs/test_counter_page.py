"""The Counter's home page: to order, on the way, here."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Complaint, RepairOrder, Replacement
from jobs.services import parts
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, the_hub

State = Replacement.State


def here(name: str = "counter", *args: object) -> str:
    return reverse(name, args=["quay-street", *args])


def post(actor: Actor, to: str, **data: Any) -> Any:
    return client_of(actor).post(to, {"act": uuid4(), **data}, headers={"HX-Request": "true"})


@pytest.fixture
def hub(crew: Crew) -> Replacement:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    found: Replacement = Replacement.objects.select_related("complaint__order").get(
        complaint__order=order
    )
    return found


def jobs_with_parts(crew: Crew, number: int, state: str, supplier: str = "Ostrel") -> None:
    """So many jobs that each wait for one assembly in this state."""
    for _ in range(number):
        order = a_repair_order(crew.manager)
        RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.AWAITING_ASSEMBLY)
        Replacement.objects.create(
            workshop=order.workshop,
            complaint=order.complaints.get(),
            component=the_hub(order),
            position="LR",
            part_number="PL2-20-214",
            price=184,
            supplier=supplier,
            state=state,
            state_since=clock.now(),
            expected_on=clock.today(),
        )
        order.complaints.update(decision=Complaint.Decision.AUTHORISED)


def test_what_to_order_stands_by_supplier_with_the_job_that_waits_and_when_it_is_promised(
    crew: Crew, hub: Replacement
) -> None:
    order = hub.complaint.order
    RepairOrder.objects.filter(pk=order.pk).update(promised_at=clock.now() - timedelta(hours=2))
    jobs_with_parts(crew, 1, State.TO_ORDER, supplier="Velder")
    page = text_of(client_of(crew.counter).get(here()))
    assert "2 to order, 0 on the way, 0 here" in page
    assert page.index("<p>Ostrel</p>") < page.index("<p>Velder</p>")
    assert f">{order.number}</a>" in page
    assert "was PL2-20-210, PL2-20-212" in page
    assert "late" in page


def test_one_order_is_recorded_for_the_ticked_lines_and_booked_in_and_handed_over(
    crew: Crew, hub: Replacement
) -> None:
    tomorrow = clock.today() + timedelta(days=1)
    typed = {
        "group": "Ostrel",
        "replacements": [hub.pk],
        "reference": "OS-7714",
        "expected_on": tomorrow.isoformat(),
    }
    answer = text_of(post(crew.counter, here("part-order"), **typed))
    assert "0 to order, 1 on the way, 0 here" in answer
    assert "OS-7714" in answer
    answer = text_of(post(crew.counter, here("part-receive"), replacements=[hub.pk]))
    assert "0 to order, 0 on the way, 1 here" in answer
    order = hub.complaint.order
    order.refresh_from_db()
    assert f"All of {order.number}, {order.vehicle}, is here." in answer
    post(crew.counter, here("hand-over", order.number), revision=order.revision)
    order.refresh_from_db()
    assert order.stage == Stage.REPAIRING


def test_a_forgotten_day_is_asked_for_and_the_reference_is_kept(
    crew: Crew, hub: Replacement
) -> None:
    jobs_with_parts(crew, 1, State.TO_ORDER, supplier="Velder")
    typed = {"group": "Ostrel", "replacements": [hub.pk], "reference": "OS-7714"}
    answer = text_of(post(crew.counter, here("part-order"), **typed))
    assert answer.count('value="OS-7714"') == 1
    assert answer.count('aria-invalid="true"') == 1
    hub.refresh_from_db()
    assert hub.state == State.TO_ORDER


def test_an_assembly_that_comes_wrong_late_or_not_at_all_has_a_page_of_its_own(
    crew: Crew, hub: Replacement
) -> None:
    parts.order(
        crew.counter,
        act=uuid4(),
        replacements=[hub.pk],
        reference="OS-7714",
        expected_on=clock.today(),
    )
    page = text_of(client_of(crew.counter).get(here("part", hub.pk)))
    for offered in ("It comes later", "What came is wrong or damaged", "not needed any more"):
        assert offered in page
    answer = text_of(post(crew.counter, here("part-late", hub.pk), because="Held at the port"))
    assert 'value="Held at the port"' in answer
    later = clock.today() + timedelta(days=3)
    post(
        crew.counter,
        here("part-late", hub.pk),
        because="Held at the port",
        expected_on=later.isoformat(),
    )
    hub.refresh_from_db()
    assert hub.expected_on == later


def test_a_technician_may_not_open_the_counter_and_is_told_where_to_look(crew: Crew) -> None:
    answer = client_of(crew.technician).get(here())
    assert answer.status_code == 403
    assert "The order's own page shows how far its parts are." in text_of(answer)
    assert client_of(crew.counter).get(here()).status_code == 200


def test_another_workshop_sees_none_of_it(crew: Crew, hub: Replacement, pim: Actor) -> None:
    theirs = reverse("counter", args=[pim.workshop.slug])
    assert "Nothing to order" in text_of(client_of(pim).get(theirs))
    assert client_of(pim).get(reverse("part", args=["millrace", hub.pk])).status_code == 404
    assert client_of(crew.counter).get(here("part", hub.pk)).status_code == 200


@pytest.mark.parametrize("state", [State.TO_ORDER, State.ORDERED, State.RECEIVED])
def test_it_costs_the_same_queries_for_two_rows_as_for_twenty(crew: Crew, state: str) -> None:
    client = client_of(crew.counter)

    def queries() -> int:
        with counted() as found:
            assert client.get(here()).status_code == 200
        return len(found)

    jobs_with_parts(crew, 2, state)
    few = queries()
    jobs_with_parts(crew, 18, state)
    assert queries() == few


def test_a_long_list_is_cut_with_the_way_to_all_of_it_in_pages(crew: Crew) -> None:
    jobs_with_parts(crew, 43, State.TO_ORDER)
    client = client_of(crew.counter)
    assert "All 43 to order" in text_of(client.get(here()))
    second = text_of(client.get(here(), {"list": "to-order", "page": "2"}))
    assert "Page 2 of 2" in second
    assert second.count('class="row"') == 3
