"""The Counter's home page: what to order, what comes, what to hand over, what to send back."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import RepairOrder, Replacement, SupplyOrder
from jobs.services import supply
from jobs.stages import Stage
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.supplying import (
    NUMBER,
    State,
    asking,
    came,
    day,
    line_of,
    on_the_shelf,
    placed,
    stage_of,
    state_of,
)


def here(name: str = "counter", *args: object) -> str:
    return reverse(name, args=["quay-street", *args])


def post(actor: Actor, to: str, **data: Any) -> Any:
    return client_of(actor).post(to, {"act": uuid4(), **data}, headers={"HX-Request": "true"})


def page_of(crew: Crew, **asked: str) -> str:
    return text_of(client_of(crew.counter).get(here(), asked))


def test_what_to_order_is_gathered_over_jobs_by_supplier_with_the_chain_and_the_money(
    crew: Crew,
) -> None:
    urgent = asking(crew, promised_in_hours=-2)
    asking(crew, number="PL2-20-210", payer="vehicle_warranty")
    asking(crew, number="TI-1", supplier="Tindle", payer="parts_warranty")
    page = page_of(crew)
    assert "<b>3</b> to order" in page
    assert page.index("<h2>Ostrel</h2>") < page.index("<h2>Tindle</h2>")
    assert f">{urgent.complaint.order.number}</a>" in page
    assert "was PL2-20-210 → PL2-20-212" in page
    assert page.count(f'<span class="part-number">{NUMBER}</span>') == 1
    assert "customer and payers" in page
    assert "parts warranty only" in page
    assert "late" in page


def test_what_lies_free_or_comes_for_nobody_is_taken_off_and_offered_to_the_first(
    crew: Crew,
) -> None:
    order = placed(crew, quantity=1)
    on_the_shelf(crew, 1)
    third, second, first = (asking(crew, promised_in_hours=hours) for hours in (9, 5, 1))
    page = page_of(crew)
    assert "<b>1</b> <small class=" in page
    assert "1 free, 1 coming" in page
    assert page.count("Take from the shelf") == 1
    assert page.count(f"Keep one of {order.number}") == 1
    post(crew.counter, here("part-receive"), replacements=[first.pk])
    assert state_of(first) == State.RECEIVED
    post(crew.counter, here("part-wait", second.pk), line=line_of(order).pk)
    second.refresh_from_db()
    assert second.supply_line == line_of(order)
    assert state_of(third) == State.TO_ORDER


def test_the_shelf_asks_for_what_it_is_short_of(crew: Crew) -> None:
    item = on_the_shelf(crew, 1)
    item.target, item.component = 3, asking(crew).component
    item.save()
    page = page_of(crew)
    assert "3 to fill the shelf" in page
    form = text_of(client_of(crew.counter).get(here("supply-new"), {"supplier": "Ostrel"}))
    assert f'name="quantity-{NUMBER.replace("-", "")}" value="3"' in form


def test_one_form_places_the_order_of_a_supplier_and_what_is_more_is_for_the_shelf(
    crew: Crew,
) -> None:
    row, key = asking(crew), NUMBER.replace("-", "")
    url = here("supply-new") + "?supplier=Ostrel"
    typed = {
        "replacements": [row.pk],
        f"quantity-{key}": "3",
        f"cost-{key}": "110.40",
        "own_number": "br-9",
        "own_text": "Brake fluid",
        "own_quantity": "6",
        "expected_on": day(2).isoformat(),
    }
    answer = post(crew.counter, url, **typed)
    order = SupplyOrder.objects.get()
    assert answer.headers["HX-Redirect"] == here("supply-order", order.number)
    lines = order.lines.values_list("part_number", "quantity", "replacements")
    assert list(lines) == [(NUMBER, 3, row.pk), ("BR-9", 6, None)]
    assert "<b>9</b> on the way" in page_of(crew)


def test_several_things_of_ones_own_go_into_one_order(crew: Crew) -> None:
    typed = {
        "supplier": "Kerb Parts",
        "expected_on": day(2).isoformat(),
        "own_number": "br-9",
        "own_quantity": "6",
        "own_number_3": "GR-2",
        "own_text_3": "Grease",
        "own_cost_3": "4.80",
    }
    answer = text_of(post(crew.counter, here("supply-new"), **typed))
    assert "Type how many." in answer
    assert answer.count('aria-invalid="true"') == 1
    nameless = typed | {"own_number_3": "", "own_quantity_3": "2"}
    assert "Type the part number." in text_of(post(crew.counter, here("supply-new"), **nameless))
    assert not SupplyOrder.objects.exists()
    post(crew.counter, here("supply-new"), **typed, own_quantity_3="2")
    lines = SupplyOrder.objects.get().lines.values_list("part_number", "text", "quantity")
    assert list(lines) == [("BR-9", "BR-9", 6), ("GR-2", "Grease", 2)]


def test_a_forgotten_day_is_asked_for_and_what_was_typed_is_kept(crew: Crew) -> None:
    row, key = asking(crew), NUMBER.replace("-", "")
    url = here("supply-new") + "?supplier=Ostrel"
    typed = {"replacements": [row.pk], f"quantity-{key}": "7", "reference": "OS-7714"}
    answer = text_of(post(crew.counter, url, **typed))
    assert answer.count('value="OS-7714"') == 1
    assert answer.count('value="7"') == 1
    assert answer.count('aria-invalid="true"') == 1
    assert state_of(row) == State.TO_ORDER


def test_what_somebody_ordered_while_the_form_was_open_is_said_before_it_comes_twice(
    crew: Crew,
) -> None:
    mine, other, key = asking(crew), asking(crew), NUMBER.replace("-", "")
    placed(crew, mine)
    typed = {
        "replacements": [mine.pk, other.pk],
        f"quantity-{key}": "2",
        "expected_on": day(2).isoformat(),
    }
    answer = text_of(post(crew.counter, here("supply-new") + "?supplier=Ostrel", **typed))
    assert "is ordered by now" in answer
    assert SupplyOrder.objects.count() == 1


def test_a_complete_job_is_handed_over_and_one_that_waits_is_not(crew: Crew) -> None:
    whole, part = asking(crew), asking(crew)
    rest = asking(crew)
    rest.complaint_id = part.complaint_id
    rest.save(update_fields=["complaint"])
    came(crew, placed(crew, whole, part), good=2)
    page = page_of(crew)
    assert "<b>1</b> job to hand over" in page
    assert "waits for 1 more" in page
    order = RepairOrder.objects.get(pk=whole.complaint.order_id)
    post(crew.counter, here("hand-over", order.number), revision=order.revision)
    assert stage_of(whole) == Stage.REPAIRING
    assert stage_of(part) == Stage.AWAITING_ASSEMBLY


def test_a_late_order_and_what_goes_back_stand_on_the_page(crew: Crew) -> None:
    order = placed(crew, asking(crew), quantity=2)
    order.lines.update(expected_on=day(-1))
    came(crew, order, wrong=1, because="Right-hand unit")
    page = page_of(crew)
    assert '<b>2</b> on the way <span class="late">2 late</span>' in page
    assert "<b>1</b> to send back" in page
    assert "wrong part: Right-hand unit" in page


def test_an_assembly_that_comes_wrong_late_or_not_at_all_has_a_page_of_its_own(
    crew: Crew,
) -> None:
    row = asking(crew)
    placed(crew, row)
    page = text_of(client_of(crew.counter).get(here("part", row.pk)))
    for offered in ("It comes later", "What came is wrong or damaged", "not needed any more"):
        assert offered in page
    answer = text_of(post(crew.counter, here("part-late", row.pk), because="Held at the port"))
    assert 'value="Held at the port"' in answer
    later = {"because": "Held at the port", "expected_on": day(3).isoformat()}
    post(crew.counter, here("part-late", row.pk), **later)
    row.refresh_from_db()
    assert row.expected_on == day(3)
    answer = text_of(post(crew.counter, here("part-wrong", row.pk), because="Bent", again="on"))
    assert "Type the day the right one is expected." in answer
    post(crew.counter, here("part-wrong", row.pk), because="Bent", again="off", damaged="on")
    assert state_of(row) == State.TO_ORDER


def test_a_technician_may_not_open_the_counter_and_is_told_where_to_look(crew: Crew) -> None:
    answer = client_of(crew.technician).get(here())
    assert answer.status_code == 403
    assert "The order's own page shows how far its parts are." in text_of(answer)
    assert client_of(crew.counter).get(here()).status_code == 200


def test_another_workshop_sees_none_of_it(crew: Crew, pim: Actor) -> None:
    row = asking(crew)
    order = placed(crew, asking(crew))
    theirs = client_of(pim)
    assert "Nothing to order" in text_of(theirs.get(reverse("counter", args=["millrace"])))
    for name, key in (("part", row.pk), ("supply-order", order.number)):
        assert theirs.get(reverse(name, args=["millrace", key])).status_code == 404
        assert client_of(crew.counter).get(here(name, key)).status_code == 200


def more_of_everything(crew: Crew, number: int) -> None:
    for at in range(number):
        asking(crew, number=f"XX-{at}", supplier=f"House {at % 7}")
        asking(crew)
        order = placed(crew, asking(crew), asking(crew), quantity=4)
        came(crew, order, good=1, wrong=1)
        row: Replacement = asking(crew)
        supply.wait_for(crew.counter, act=uuid4(), replacement=row, line=line_of(order))


@pytest.mark.parametrize("asked", ["", "to-order", "ordered", "here"])
def test_it_costs_the_same_queries_for_few_rows_as_for_many(crew: Crew, asked: str) -> None:
    client = client_of(crew.counter)

    def queries() -> int:
        with counted() as found:
            assert client.get(here(), {"list": asked}).status_code == 200
        return len(found)

    more_of_everything(crew, 2)
    queries()
    few = queries()
    more_of_everything(crew, 6)
    assert queries() == few


def test_a_long_list_is_cut_with_the_way_to_all_of_it_in_pages(crew: Crew) -> None:
    for at in range(43):
        asking(crew, number=f"XX-{at:02}")
    assert "All 43 part numbers to order" in page_of(crew)
    second = page_of(crew, list="to-order", page="2")
    assert "Page 2 of 2" in second
    assert second.count('class="row row--need"') == 3
