"""The estimate's sheet in the browser."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Authority, Complaint, RepairOrder, Replacement
from jobs.services import estimate
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to, conclude_the_hub, give_estimate, go, the_hub

HTMX = {"HX-Request": "true"}


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    found = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, found, crew)
    conclude_the_hub(crew.technician, found.complaints.get())
    return found


def url(order: RepairOrder, name: str = "estimate", *args: object) -> str:
    return reverse(name, args=[order.workshop.slug, order.number, *args])


def post(actor: Actor, to: str, data: dict[str, Any] | None = None) -> Any:
    return client_of(actor).post(to, {"act": uuid4(), **(data or {})}, headers=HTMX)


def test_the_conclusion_stands_ready_and_one_tap_puts_it_on(crew: Crew, order: RepairOrder) -> None:
    page = text_of(client_of(crew.technician).get(url(order)))
    assert "superseded: PL2-20-210 → PL2-20-212 → PL2-20-214" in page
    answer = post(crew.technician, url(order, "estimate-propose", 1))
    assert answer.status_code == 200
    part = text_of(answer)
    assert part.startswith('<div class="sheet" id="sheet">')
    assert "$184.00" in part
    assert "in place of PL2-20-210, PL2-20-212" in part


def test_without_htmx_the_same_act_leads_back_to_the_sheet(crew: Crew, order: RepairOrder) -> None:
    to = url(order, "estimate-propose", 1)
    answer = client_of(crew.technician).post(to, {"act": uuid4()})
    assert (answer.status_code, answer.headers["Location"]) == (303, url(order))


def test_nothing_typed_is_lost_when_an_amount_cannot_be_read(
    crew: Crew, order: RepairOrder
) -> None:
    typed = {
        "complaint": order.complaints.get().pk,
        "assembly": f"{the_hub(order).pk}:RR",
        "part_number": "X-9",
        "supplier": "Kerb Parts",
        "price": "9x",
    }
    answer = text_of(post(crew.technician, url(order, "estimate-assembly"), typed))
    assert "“9x” is not an amount. Type digits only" in answer
    for kept in ('value="X-9"', 'value="Kerb Parts"', 'value="9x"', ':RR" selected'):
        assert kept in answer
    post(crew.technician, url(order, "estimate-assembly"), typed | {"price": "99.50"})
    assert Replacement.objects.get(complaint__order=order).part_number == "X-9"


def test_a_refusal_of_the_service_stands_beside_its_field(crew: Crew, order: RepairOrder) -> None:
    typed = {
        "complaint": order.complaints.get().pk,
        "assembly": f"{the_hub(order).pk}:RR",
        "part_number": "X-9",
    }
    answer = text_of(post(crew.technician, url(order, "estimate-assembly"), typed))
    assert "The catalogue does not know X-9. Type its price too." in answer
    assert 'aria-invalid="true"' in answer


def test_a_quarter_of_an_hour_is_questioned_because_time_is_in_tenths(
    crew: Crew, order: RepairOrder
) -> None:
    typed = {"complaint": order.complaints.get().pk, "text": "Clean the ground", "hours": "0.25"}
    answer = text_of(post(crew.technician, url(order, "estimate-labour"), typed))
    assert "tenths of an hour (6 minutes): type 0.2." in answer
    answer = text_of(post(crew.technician, url(order, "estimate-labour"), typed | {"hours": "0,3"}))
    assert "$27.00" in answer


def test_the_manager_gives_it_and_records_the_answer_line_by_line(
    crew: Crew, order: RepairOrder
) -> None:
    complaint = order.complaints.get()
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    go(crew.technician, order, Move.ASK_AUTHORITY)
    page = text_of(client_of(crew.manager).get(url(order)))
    assert "Give the estimate" in page
    given = {"given_to": "Ada W.", "how": "phone", "contact": ""}
    answer = text_of(post(crew.manager, url(order, "estimate-give"), given))
    assert "Type the telephone number or address that was used." in answer
    answer = text_of(
        post(crew.manager, url(order, "estimate-give"), given | {"contact": "555 0123"})
    )
    assert "Record the answer" in answer
    order.refresh_from_db()
    typed = {
        "revision": order.revision,
        "who": "Ada W.",
        "how": "phone",
        "contact": "555 0123",
        "answered_at": f"{clock.now():%Y-%m-%dT%H:%M}",
        f"answer_{order.complaints.get().pk}": "authorised",
    }
    post(crew.manager, url(order, "authority"), typed)
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY
    assert Authority.objects.get(estimate__order=order).who == "Ada W."
    page = text_of(client_of(crew.manager).get(url(order)))
    assert "line 1 authorised" in page


def test_the_counter_reads_the_estimate_but_may_not_change_it(
    crew: Crew, order: RepairOrder
) -> None:
    assert client_of(crew.counter).get(url(order)).status_code == 200
    answer = post(crew.counter, url(order, "estimate-propose", 1))
    assert answer.status_code == 403
    assert "proposes parts and labour" in text_of(answer)
    assert post(crew.technician, url(order, "estimate-propose", 1)).status_code == 200


def test_a_stranger_finds_no_such_estimate(crew: Crew, order: RepairOrder, pim: Actor) -> None:
    assert client_of(pim).get(url(order)).status_code == 404
    there = reverse("estimate", args=[pim.workshop.slug, order.number])
    assert client_of(pim).get(there).status_code == 404
    assert client_of(crew.manager).get(url(order)).status_code == 200


def test_the_sheet_costs_the_same_queries_for_two_lines_as_for_twenty(
    crew: Crew, order: RepairOrder
) -> None:
    complaint = order.complaints.get()
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    give_estimate(crew, order)

    def queries() -> int:
        client = client_of(crew.manager)
        with counted() as found:
            assert client.get(url(order)).status_code == 200
        return len(found)

    queries()
    few = queries()
    for number in range(18):
        estimate.add_labour(
            crew.technician, act=uuid4(), complaint=complaint, text=f"Work {number}", tenths=1
        )
    give_estimate(crew, order)
    assert queries() == few


def test_a_declined_complaint_is_shown_as_declined_and_costs_nothing(crew: Crew) -> None:
    order = a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(), a_complaint_line(words="Squeaks when cold")],
    )
    bring_to(Stage.DECLINED, order, crew)
    page = text_of(client_of(crew.manager).get(url(order)))
    assert page.count("Declined; nothing is charged.") == 2
    assert set(order.complaints.values_list("decision", flat=True)) == {Complaint.Decision.DECLINED}
