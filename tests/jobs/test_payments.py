"""Payments, refunds and credit notes on an invoice: never more than is owed, left or paid over."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection, connections
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import Invoice, Payment
from jobs.services import payments
from jobs.stages import Stage
from shop.errors import AlreadyDone, Refusal
from shop.money import total
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, a_plain_invoice, credit, issue, pay, pay_back

D = Decimal
CLERKS = 4


@pytest.fixture
def invoice(crew: Crew) -> Invoice:
    """Five lines of 10.00, all the customer's."""
    return a_plain_invoice(crew.manager, a_repair_order(crew.manager), lines=5)


def stands(invoice: Invoice) -> Invoice:
    """The invoice read anew; its sums are those of its payments and credit notes."""
    found = Invoice.objects.get(pk=invoice.pk)
    assert found.paid == total(found.payments.values_list("amount", flat=True))
    assert found.credited == total(found.credits.values_list("customer_total", flat=True))
    assert found.owed == total((found.customer_total, -found.credited, -found.paid))
    return found


def test_part_payments_come_to_nothing_owed(crew: Crew, invoice: Invoice) -> None:
    pay(crew.counter, invoice, "20.00")
    pay(crew.manager, invoice, "30.00", "card")
    assert stands(invoice).owed == 0
    assert [one.number[-5:] for one in invoice.payments.order_by("pk")] == ["R1001", "R1002"]
    with refused(says="nothing is owed"):
        pay(crew.counter, invoice, "0.01")


def test_no_more_is_taken_than_is_owed(crew: Crew, invoice: Invoice) -> None:
    with refused(field="amount", says="only $50.00 is still owed"):
        pay(crew.counter, invoice, "50.01")
    for amount in ("0", "-5"):
        with refused(field="amount", says="above zero"):
            pay(crew.counter, invoice, amount)
    assert stands(invoice).owed == D("50.00")


def test_money_goes_back_only_where_it_was_paid_over(crew: Crew, invoice: Invoice) -> None:
    pay(crew.counter, invoice, "50.00")
    with refused(says="nothing was paid over"):
        pay_back(crew.counter, invoice, "10.00")
    line = invoice.lines.first()
    assert line is not None
    credit(crew.manager, invoice, {line.pk: D("10.00")})
    assert stands(invoice).owed == D("-10.00")
    with refused(field="amount", says="only $10.00 was paid over"):
        pay_back(crew.counter, invoice, "10.01")
    assert pay_back(crew.counter, invoice, "10.00").amount == D("-10.00")
    assert stands(invoice).owed == 0


@pytest.mark.parametrize("field", ["reference", "note"])
def test_no_card_number_is_kept(crew: Crew, invoice: Invoice, field: str) -> None:
    words = {"reference": "slip 1", field: "4111 1111 1111 1111"}
    with refused(field=field, says="number of a payment card"):
        payments.take(
            crew.counter, act=uuid4(), invoice=invoice, how="card", amount=D("5"), **words
        )
    assert not Payment.objects.exists()


def test_a_card_or_transfer_needs_its_reference(crew: Crew, invoice: Invoice) -> None:
    for how in ("card", "transfer"):
        with refused(field="reference"):
            payments.take(crew.counter, act=uuid4(), invoice=invoice, how=how, amount=D("5"))
    with refused(field="how"):
        payments.take(crew.counter, act=uuid4(), invoice=invoice, how="cheque", amount=D("5"))


def test_the_same_act_counts_once(crew: Crew, invoice: Invoice) -> None:
    act = uuid4()
    payments.take(crew.counter, act=act, invoice=invoice, how="cash", amount=D("5"))
    with pytest.raises(AlreadyDone):
        payments.take(crew.counter, act=act, invoice=invoice, how="cash", amount=D("5"))


def test_a_technician_takes_no_money(crew: Crew, invoice: Invoice) -> None:
    with refused(says="takes payments"):
        pay(crew.technician, invoice, "5.00")
    with refused(says="issues invoices and credit notes"):
        credit(crew.counter, invoice)


def test_a_part_of_an_hours_line_is_credited_as_money_not_as_hours(
    crew: Crew, invoice: Invoice
) -> None:
    line = invoice.lines.first()
    assert line is not None
    assert line.kind == "labour"
    note = credit(crew.manager, invoice, {line.pk: D("4.00")})
    path = reverse("invoice", args=[invoice.workshop.slug, note.number])
    page = text_of(client_of(crew.manager).get(path))
    assert "in part, of $10.00" in page
    assert "1\u00a0h ×" not in page
    rest = credit(crew.manager, invoice)
    assert [row.billed for row in rest.lines.all()] == [D("10.00"), *[None] * 4]


def test_a_credit_asks_for_a_reason_and_for_no_more_than_is_left(
    crew: Crew, invoice: Invoice
) -> None:
    line = invoice.lines.first()
    assert line is not None
    with refused(field="because"):
        credit(crew.manager, invoice, because=" ")
    with refused(says="nothing is to be credited"):
        credit(crew.manager, invoice, {line.pk: D(0)})
    credit(crew.manager, invoice, {line.pk: D("4.00")})
    with refused(field=f"line-{line.pk}", says="only $6.00 is left"):
        credit(crew.manager, invoice, {line.pk: D("6.01")})
    with refused(says="not on"):
        credit(crew.manager, invoice, {0: D("1.00")})
    note = credit(crew.manager, invoice)
    assert note.total == D("46.00")
    assert not stands(invoice).standing
    with refused(says="credited in full already"):
        credit(crew.manager, invoice)
    with refused(says="not credited"):
        credit(crew.manager, note)


acts_on_an_invoice = st.lists(
    st.tuples(st.sampled_from(["pay", "back", "credit"]), st.integers(-100, 3000)), max_size=12
)


@given(acts_on_an_invoice)
@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_is_tried_the_sums_hold_and_no_number_is_left_out(
    crew: Crew, acts: list[tuple[str, int]]
) -> None:
    invoice = a_plain_invoice(crew.manager, a_repair_order(crew.manager), lines=3)
    lines = list(invoice.lines.values_list("pk", flat=True))
    for which, hundredths in acts:
        amount = D(hundredths) / 100
        try:
            if which == "pay":
                pay(crew.counter, invoice, amount)
            elif which == "back":
                pay_back(crew.counter, invoice, amount)
            else:
                credit(crew.manager, invoice, {lines[hundredths % 3]: amount})
        except Refusal:
            pass
        found = stands(invoice)
        assert 0 <= found.credited <= found.customer_total
        assert found.paid >= 0
    for rows in (Payment.objects.all(), Invoice.objects.filter(kind="credit")):
        serials = list(rows.order_by("serial").values_list("serial", flat=True))
        assert serials == list(range(1001, 1001 + len(serials)))


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("which", ["pay", "issue", "credit"])
def test_of_clerks_who_act_at_once_one_succeeds_and_the_others_are_told(
    crew: Crew, which: str
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one writer in at a time; this is about PostgreSQL")
    order = a_job(crew, Stage.READY)
    invoice = None if which == "issue" else issue(crew.manager, order)
    together = Barrier(CLERKS)

    def act(_clerk: int) -> str:
        try:
            together.wait(timeout=20)
            if invoice is None:
                issue(crew.manager, order)
            elif which == "pay":
                pay(crew.counter, invoice, invoice.owed)
            else:
                credit(crew.manager, invoice)
        except Refusal:
            return "told"
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(CLERKS) as pool:
        assert sorted(pool.map(act, range(CLERKS))) == ["done"] + ["told"] * (CLERKS - 1)
    assert Invoice.objects.filter(order=order, kind="invoice").count() == 1
    if which == "pay":
        assert Payment.objects.count() == 1
