"""The pages of an order, of what goes back and of suppliers, and the papers of an order."""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any
from uuid import uuid4

import pytest
from pypdf import PdfReader

from jobs.models import Supplier, SupplyOrder, SupplyReceipt, SupplyReturn
from jobs.queries import shelf
from jobs.queries.suppliers import times_of
from jobs.services import suppliers, supply_changes, supply_returns
from jobs.services.supply import Wanted
from shop import clock
from shop.errors import Clash
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.supplying import (
    State,
    asking,
    came,
    check_stock,
    day,
    line_of,
    on_the_shelf,
    placed,
    stage_of,
    state_of,
)
from tests.jobs.test_counter_page import here, post


def delivery(order: SupplyOrder, **found: Any) -> dict[str, Any]:
    line = line_of(order)
    typed = {f"{name}-{line.pk}": value for name, value in found.items()}
    return {f"revision-{line.pk}": line.revision, "again": "on", **typed}


def test_a_delivery_is_booked_in_on_the_page_and_says_where_it_went(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=3)
    url = here("supply-receive", order.number)
    answer = text_of(post(crew.counter, url, **delivery(order, good=2, wrong=1), hand_over="on"))
    assert "Booked in: 1 for jobs, 1 onto the shelf." in answer
    assert f"Handed over: {row.complaint.order.number}." in answer
    assert stage_of(row) == "repairing"
    assert line_of(order).awaited == 1


def test_too_many_and_a_line_that_changed_are_said_and_what_was_typed_is_kept(crew: Crew) -> None:
    order = placed(crew, asking(crew), quantity=3)
    url, old = here("supply-receive", order.number), delivery(order, good=2)
    answer = text_of(post(crew.counter, url, **delivery(order, good=4), delivery_note="DN 7"))
    assert "3 pieces are awaited and 4 are to be booked in" in answer
    assert 'value="DN 7"' in answer
    came(crew, order, good=1)
    answer = text_of(post(crew.manager, url, **old))
    assert "of 3, 1 came, 0 are cancelled and 2 are awaited" in answer
    line = line_of(order)
    assert f'name="revision-{line.pk}" value="{line.revision}"' in answer
    assert line.received == 1


def test_a_line_that_somebody_else_has_booked_in_whole_is_said_and_not_left_out(
    crew: Crew,
) -> None:
    order = placed(crew, asking(crew), quantity=1)
    url, old = here("supply-receive", order.number), delivery(order, good=1)
    came(crew, order, good=1)
    answer = text_of(post(crew.manager, url, **old))
    assert "of 1, 1 came, 0 are cancelled and 0 are awaited" in answer
    assert "Type how many came" not in answer
    assert line_of(order).received == 1


def test_all_of_it_came_is_one_touch(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=3)
    post(crew.counter, here("supply-receive", order.number), **delivery(order), everything="on")
    assert (line_of(order).awaited, state_of(row), check_stock()) == (0, State.RECEIVED, (3, 1))


def test_later_less_and_void_are_said_on_the_page(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=2)
    pk = line_of(order).pk
    later = here("supply-later", order.number, pk)
    post(crew.counter, later, revision=0, expected_on=day(6).isoformat(), because="At the port")
    page = text_of(client_of(crew.counter).get(here("supply-order", order.number)))
    assert "“At the port”" in page
    cut = here("supply-cut", order.number, pk)
    answer = text_of(post(crew.counter, cut, revision=0, quantity=1, because="None left"))
    assert "Somebody changed PL2-20-214 meanwhile" in answer
    post(crew.counter, cut, revision=1, quantity=1, because="None left")
    assert line_of(order).awaited == 1
    answer = text_of(post(crew.counter, here("supply-void", order.number), because="Twice"))
    assert "<b>Void</b>" in answer
    assert state_of(row) == State.TO_ORDER


def test_the_list_of_orders_gives_the_day_that_the_rest_was_put_off_to(crew: Crew) -> None:
    row = asking(crew)
    order = placed(crew, row, quantity=1)
    late = order.expected_on + timedelta(days=1)
    with clock.at(clock.now() + (late - clock.today())):
        assert 'figures late"' in text_of(client_of(crew.counter).get(here("supply-orders")))
        later = here("supply-later", order.number, line_of(order).pk)
        put_off = late + timedelta(days=9)
        post(crew.counter, later, revision=0, expected_on=put_off.isoformat(), because="At sea")
        page = text_of(client_of(crew.counter).get(here("supply-orders")))
    assert 'figures late"' not in page
    assert f"{put_off:%b %Y}" in page
    assert f">{put_off.day} {put_off:%b %Y}<" in page


def test_what_goes_back_is_sent_then_credited_each_once(crew: Crew) -> None:
    came(crew, placed(crew, asking(crew)), damaged=1, because="Bent")
    back = SupplyReturn.objects.get()
    credit: dict[str, Any] = {"amount": Decimal(90), "credit_note": "CN 4"}
    with refused(says="not been sent yet"):
        supply_returns.credited(crew.counter, act=uuid4(), back=back, **credit)
    post(crew.counter, here("supply-return-sent", back.pk), reference="Parcel 12")
    with pytest.raises(Clash, match="sent already"):
        supply_returns.sent(crew.counter, act=uuid4(), back=back, reference="again")
    answer = text_of(post(crew.counter, here("supply-return-credited", back.pk), amount="-1"))
    assert "field--bad" in answer or "nought or more" in answer
    post(crew.counter, here("supply-return-credited", back.pk), amount="90.00")
    back.refresh_from_db()
    assert (back.credit_received, back.credit_expected) == (Decimal("90.00"), Decimal("100.00"))
    with pytest.raises(Clash, match="recorded already"):
        supply_returns.credited(crew.counter, act=uuid4(), back=back, **credit)
    closed = client_of(crew.counter).get(here("supply-returns"), {"show": "closed"})
    assert "Parcel 12" not in text_of(client_of(crew.counter).get(here("supply-returns")))
    assert "$90.00" in text_of(closed)


def test_what_nobody_needs_goes_back_from_the_shelf_but_not_what_is_kept(crew: Crew) -> None:
    order = placed(crew, asking(crew), quantity=2)
    came(crew, order, good=2)
    typed = {"part_number": "pl2 20-214", "supplier": order.supplier_id, "because": "Not needed"}
    answer = text_of(post(crew.counter, here("supply-return-new"), quantity=2, **typed))
    assert "2 of PL2-20-214 on the shelf, 1 of them kept for jobs" in answer
    assert check_stock() == (2, 1)
    post(crew.counter, here("supply-return-new"), quantity=1, **typed)
    assert check_stock() == (1, 1)
    assert SupplyReturn.objects.get().credit_expected == Decimal("100.00")
    answer = text_of(
        post(crew.counter, here("supply-return-new"), **(typed | {"part_number": "X"}))
    )
    assert "not in stock" in answer
    on_the_shelf(crew, 1)


def test_a_suppliers_details_are_kept_and_two_clerks_do_not_write_over_each_other(
    crew: Crew,
) -> None:
    post(crew.counter, here("supplier-new"), name="Kerb Parts", email="no-mail")
    assert not Supplier.objects.exists()
    post(crew.counter, here("supplier-new"), name="Kerb Parts", account="K-1")
    supplier = Supplier.objects.get()
    url, typed = here("supplier", supplier.pk), {"name": "Kerb Parts", "revision": 1}
    post(crew.counter, url, **typed, phone="555 0100")
    answer = text_of(client_of(crew.manager).post(url, {"act": uuid4(), **typed, "phone": "1"}))
    assert "changed this supplier meanwhile" in answer
    assert 'value="2"' in answer
    supplier.refresh_from_db()
    assert (supplier.phone, supplier.revision) == ("555 0100", 2)
    with refused(field="name", says="in the list already"):
        suppliers.add(crew.counter, act=uuid4(), name="kerb  parts")


def test_days_seen_are_the_middle_the_ends_and_how_many_came_late(crew: Crew) -> None:
    """Five deliveries after 1, 2, 3, 4 and 10 days, each expected on the third: 2 of 5 late."""
    for days in (1, 2, 3, 4, 10):
        order = placed(crew, quantity=1, lines=[Wanted("PL2-20-214", 1)])
        came(crew, order, good=1)
        since = clock.now() - timedelta(days=days)
        SupplyOrder.objects.filter(pk=order.pk).update(
            placed_at=since, expected_on=clock.today() - timedelta(days=days - 3)
        )
    assert SupplyReceipt.objects.count() == 5
    supplier = Supplier.objects.get()
    times = times_of(crew.counter, [supplier.pk])[supplier.pk]
    assert (times.n, times.median, times.shortest, times.longest) == (5, 3.0, 1, 10)
    assert (times.late, times.late_percent, times.few) == (2, 40, False)
    page = text_of(client_of(crew.counter).get(here("suppliers")))
    assert "1 to 10, middle of 5" in page


def test_a_new_order_proposes_the_day_that_the_supplier_usually_keeps(crew: Crew) -> None:
    """Deliveries after 2 and 5 days: 3.5 in the middle, so the fourth day from today."""
    url = here("supply-new") + "?supplier=ostrel"
    assert 'value="20' not in text_of(client_of(crew.counter).get(url))
    for days in (2, 5):
        order = placed(crew, quantity=1, lines=[Wanted("PL2-20-214", 1)])
        came(crew, order, good=1)
        since = clock.now() - timedelta(days=days)
        SupplyOrder.objects.filter(pk=order.pk).update(placed_at=since)
    form = text_of(client_of(crew.counter).get(url))
    assert f'type="date" name="expected_on" value="{day(4).isoformat()}"' in form


def test_a_piece_on_its_way_for_a_job_does_not_fill_the_shelf(crew: Crew) -> None:
    """Keep 2: one is free, and the one that comes is a job's, so that the shelf is one short."""
    item = on_the_shelf(crew, 1)
    item.target = 2
    item.save()
    placed(crew, asking(crew), quantity=1)
    assert shelf.counts(crew.counter).low == 1
    assert list(shelf.items(crew.counter, low=True)) == [item]
    page = text_of(client_of(crew.counter).get(here("stock-item", item.pk)))
    assert ">low<" in page
    placed(crew, quantity=1)
    assert shelf.counts(crew.counter).low == 0
    assert ">low<" not in text_of(client_of(crew.counter).get(here("stock-item", item.pk)))


@pytest.mark.parametrize(("paper", "width"), [("A4", 595), ("Letter", 612)])
def test_the_paper_reads_back_with_number_lines_and_total(
    crew: Crew, paper: str, width: int
) -> None:
    lines = [
        Wanted("PL2-20-214", 3, Decimal("110.40"), "Rear hub-and-sensor assembly"),
        Wanted("BR-9", 10, Decimal("4.80"), "Brake fluid"),
    ]
    order = placed(crew, lines=lines, their_reference="OS-7714", note="Pack apart")
    url = here("supply-order-pdf", order.number)
    read = PdfReader(BytesIO(client_of(crew.counter).get(url, {"paper": paper}).content))
    text = " ".join(read.pages[0].extract_text().split())
    assert round(float(read.pages[0].mediabox.width)) == width
    for said in ("QS1001", "OS-7714", "PL2-20-214", "$331.20", "$379.20", "Pack apart"):
        assert said in text
    assert "Void" not in text
    supply_changes.void(crew.counter, act=uuid4(), order=order, because="Ordered twice")
    read = PdfReader(BytesIO(client_of(crew.counter).get(url, {"paper": paper}).content))
    text = " ".join(read.pages[0].extract_text().split())
    assert "Void" in text
    assert "Ordered twice" in text
    assert "QS1001" in text


def test_the_table_reads_back_and_runs_no_formula(crew: Crew) -> None:
    lines = [Wanted("PL2-20-214", 3, Decimal("110.4"), '=HYPERLINK("x"), rear')]
    order = placed(crew, lines=lines)
    answer = client_of(crew.counter).get(here("supply-order-csv", order.number))
    (row,) = csv.DictReader(StringIO(answer.content.decode()))
    assert (row["order"], row["quantity"], row["unit_cost"]) == ("QS1001", "3", "110.40")
    assert row["text"] == '\'=HYPERLINK("x"), rear'
    assert row["void"] == "no"
