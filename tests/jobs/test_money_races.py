"""Invoices, credits and payments in any order and by several people: the books of money add up."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection, connections, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import Invoice, NumberSeries, Payment, RepairOrder
from jobs.services import credits, invoices, payments
from jobs.services.numbers import FIRST
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Workshop
from shop.money import total
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, a_tax

CLERKS, ROUNDS = 4, 10
Kind = Invoice.Kind


def issue(actor: Actor, number: int) -> None:
    order = RepairOrder.objects.of(actor).get()
    invoices.issue(actor, act=uuid4(), order=order, revision=order.revision)


def credit_all(actor: Actor, number: int) -> None:
    credits.credit(actor, act=uuid4(), invoice=_newest(actor), because="billed twice")


def credit_some(actor: Actor, number: int) -> None:
    invoice = _newest(actor)
    lines = list(invoice.lines.order_by("pk"))
    amount = Decimal(1 + number) / 7
    some = {lines[number % len(lines)].pk: amount}
    credits.credit(actor, act=uuid4(), invoice=invoice, because="too dear", amounts=some)


def pay_some(actor: Actor, number: int) -> None:
    amount = Decimal(100 + 3333 * number) / 100
    payments.take(actor, act=uuid4(), invoice=_newest(actor), how="cash", amount=amount)


def pay_all(actor: Actor, number: int) -> None:
    invoice = _newest(actor)
    payments.take(
        actor, act=uuid4(), invoice=invoice, how="card", amount=invoice.owed, reference="slip 4"
    )


def pay_back(actor: Actor, number: int) -> None:
    invoice = _newest(actor)
    payments.refund(actor, act=uuid4(), invoice=invoice, how="cash", amount=-invoice.owed)


ACTS: dict[str, Callable[[Actor, int], None]] = {
    act.__name__: act for act in (issue, credit_all, credit_some, pay_some, pay_all, pay_back)
}
days = st.lists(
    st.tuples(st.sampled_from(sorted(ACTS)), st.integers(0, 9)), min_size=4, max_size=16
)


def _newest(actor: Actor) -> Invoice:
    found: Invoice | None = (
        Invoice.objects.of(actor).filter(kind=Kind.INVOICE).order_by("-pk").first()
    )
    if found is None:
        raise Refusal("Nothing was issued yet.")
    return found


def do(actor: Actor, name: str, number: int) -> str:
    try:
        ACTS[name](actor, number)
    except Refusal as refusal:
        assert refusal.sentence.strip().endswith(".")
        return "refused"
    return "done"


def check_money(workshop: Workshop) -> None:
    """Raises AssertionError with what does not add up."""
    for paper in Invoice.objects.filter(workshop=workshop):
        lines, taxes = list(paper.lines.all()), list(paper.taxes.all())
        both = [*(one.amount for one in lines), *(one.amount for one in taxes)]
        assert paper.total == total(both), paper
        theirs = [*(one.customer_amount for one in lines), *(one.customer_amount for one in taxes)]
        assert paper.customer_total == total(theirs), paper
        assert min([paper.total, *both]) >= 0, paper
        paid = total(paper.payments.values_list("amount", flat=True))
        credited = total(paper.credits.values_list("customer_total", flat=True))
        assert (paper.paid, paper.credited) == (paid, credited), paper
        if paper.kind == Kind.INVOICE:
            assert paper.owed == total((paper.customer_total, -credited, -paid)), paper
            assert credited <= paper.customer_total, paper
            assert paid >= 0, paper
    for order in RepairOrder.objects.filter(workshop=workshop):
        assert order.invoices.filter(kind=Kind.INVOICE, standing=True).count() <= 1
    of = Invoice.objects.filter(workshop=workshop)
    for kind, rows in (
        ("invoice", of.filter(kind=Kind.INVOICE)),
        ("credit", of.filter(kind=Kind.CREDIT)),
        ("receipt", Payment.objects.filter(workshop=workshop)),
    ):
        serials = sorted(rows.values_list("serial", flat=True))
        assert serials == list(range(FIRST, FIRST + len(serials))), (kind, serials)
        last = NumberSeries.objects.filter(workshop=workshop, kind=kind).values_list("last")
        assert [one for (one,) in last] in ([], [FIRST - 1 + len(serials)]), kind


class Undone(Exception):
    """Rolls an example back."""


@pytest.mark.django_db
def test_any_day_at_the_till_leaves_books_that_add_up(crew: Crew) -> None:
    a_tax(crew.manager.workshop)
    a_job(crew)

    @settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
    @given(days)
    def live(day: list[tuple[str, int]]) -> None:
        try:
            with transaction.atomic():
                do(crew.manager, "issue", 0)
                for name, number in day:
                    do(crew.manager, name, number)
                    check_money(crew.manager.workshop)
                raise Undone
        except Undone:
            pass

    live()


@pytest.mark.django_db
def test_every_act_of_such_a_day_can_be_done(crew: Crew) -> None:
    a_tax(crew.manager.workshop)
    a_job(crew)
    day = ("issue", "pay_some", "pay_all", "credit_some", "pay_back", "credit_all", "pay_back")
    for name in (*day, "issue"):
        assert do(crew.manager, name, 1) == "done", name
        check_money(crew.manager.workshop)
    assert set(day) == set(ACTS)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", range(2))
def test_a_day_of_several_at_one_till_leaves_books_that_add_up(crew: Crew, seed: int) -> None:
    """Each acts over a connection of its own."""
    if connection.vendor != "postgresql":
        pytest.skip("SQLite in memory cannot be written over several connections")
    a_tax(crew.manager.workshop)
    a_job(crew)
    together = Barrier(CLERKS)

    def clerk(number: int) -> Counter[tuple[str, str]]:
        dice = random.Random(100 * seed + number)
        answers: Counter[tuple[str, str]] = Counter()
        try:
            for turn in range(ROUNDS):
                together.wait(timeout=120)
                name = dice.choice(sorted(ACTS)) if turn else "issue"
                answers[name, do(crew.manager, name, dice.randrange(10))] += 1
        except BaseException:
            together.abort()
            raise
        finally:
            connections.close_all()
        return answers

    with ThreadPoolExecutor(CLERKS) as pool:
        said = sum(pool.map(clerk, range(CLERKS)), Counter())
    check_money(crew.manager.workshop)
    assert said["issue", "done"] >= 1, said
    assert said["issue", "refused"] >= CLERKS - 1, said
