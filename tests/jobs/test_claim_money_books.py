"""Payers' money booked in any order and by several people: what a claim says is paid adds up."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection, connections, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.claims.payment_file import SPLIT
from jobs.claims.settled import OVER
from jobs.models import Claim, ClaimPayment, PaymentFile, PaymentRow
from jobs.services import claim_payments
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import total
from tests.jobs.claim_rows import a_claim_row, a_line, a_payment_file

CLERKS = 4


def _claim(actor: Actor, number: int) -> Claim:
    claims: list[Claim] = list(Claim.objects.of(actor).order_by("pk"))
    return claims[number % len(claims)]


def _row(number: int) -> PaymentRow:
    rows = list(PaymentRow.objects.order_by("pk"))
    if not rows:
        raise Refusal("There is no file yet.")
    return rows[number % len(rows)]


def by_hand(actor: Actor, number: int) -> None:
    claim_payments.pay(
        actor,
        act=uuid4(),
        claim=_claim(actor, number),
        paid_on=clock.today(),
        amounts={SPLIT[number % 5]: Decimal(1 + 37 * number) / 3},
        taken_back=number % 3 == 2,
        because="as the payer wrote",
        sure=number % 4 == 0,
    )


def a_file(actor: Actor, number: int) -> None:
    lines = [
        a_line(_claim(actor, number + step), f"{20 + 60 * step + number}.40", f"R{number % 5}")
        for step in range(3)
    ]
    a_payment_file(actor, *lines, a_line("QC9999", f"{number + 1}.00"))


def book(actor: Actor, number: int) -> None:
    file = PaymentFile.objects.order_by("pk").last()
    if file is None:
        raise Refusal("There is no file yet.")
    claim_payments.book_matched(actor, act=uuid4(), file=file)


def settle(actor: Actor, number: int) -> None:
    row = _row(number)
    claim = row.claim or _claim(actor, number)
    claim_payments.settle_row(actor, act=uuid4(), row=row, claim=claim, sure=number % 2 == 0)


def aside(actor: Actor, number: int) -> None:
    claim_payments.set_aside(actor, act=uuid4(), row=_row(number), because="not ours")


ACTS: dict[str, Callable[[Actor, int], None]] = {
    act.__name__: act for act in (by_hand, a_file, book, settle, aside)
}
days = st.lists(
    st.tuples(st.sampled_from(sorted(ACTS)), st.integers(0, 19)), min_size=4, max_size=14
)


def do(actor: Actor, name: str, number: int) -> bool:
    try:
        ACTS[name](actor, number)
    except Refusal as refusal:
        assert refusal.sentence.endswith(".")
        return False
    return True


def check(actor: Actor) -> None:
    for claim in Claim.objects.of(actor):
        payments = list(claim.payments.all())
        assert claim.paid == total(one.amount for one in payments)
        assert claim.paid >= 0
        assert (claim.closed_at is not None) == (claim.state in OVER)
        if claim.state == Claim.State.PAID:
            assert claim.paid >= claim.claimed
        for one in payments:
            assert one.amount == total(getattr(one, kind) for kind in SPLIT)
    booked = PaymentRow.objects.filter(payment__isnull=False)
    for row in booked.select_related("payment"):
        assert row.payment
        assert (row.payment.amount, row.payment.claim_id) == (row.amount, row.claim_id)
        assert row.set_aside_at is None


class Undone(Exception):
    """Rolls an example back."""


@pytest.mark.django_db
def test_any_acts_in_any_order_leave_claims_paid_as_their_payments_add_up(nuri: Actor) -> None:
    for state in ("sent", "accepted", "short", "written_off", "draft"):
        a_claim_row(nuri, state=state)

    @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
    @given(days)
    def live(day: list[tuple[str, int]]) -> None:
        try:
            with transaction.atomic():
                for name, number in day:
                    do(nuri, name, number)
                    check(nuri)
                raise Undone
        except Undone:
            pass

    live()


@pytest.mark.django_db
def test_every_act_of_such_a_day_can_be_done(nuri: Actor) -> None:
    for _ in range(3):
        a_claim_row(nuri)
    for name, number in (("by_hand", 0), ("a_file", 0), ("settle", 2), ("aside", 1), ("book", 0)):
        assert do(nuri, name, number), name
        check(nuri)


@pytest.mark.django_db(transaction=True)
def test_several_who_book_one_line_at_once_count_it_once(nuri: Actor) -> None:
    """Each acts over a connection of its own."""
    if connection.vendor != "postgresql":
        pytest.skip("SQLite in memory cannot be written over several connections")
    claim = a_claim_row(nuri)
    row = a_payment_file(nuri, a_line(claim, "352.00")).rows.get()
    together = Barrier(CLERKS)

    def clerk(number: int) -> bool:
        try:
            together.wait(timeout=60)
            if number % 2:
                return claim_payments.book_matched(nuri, act=uuid4(), file=row.file)[0] == 1
            claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim, sure=True)
        except Refusal:
            return False
        finally:
            connections.close_all()
        return True

    with ThreadPoolExecutor(CLERKS) as pool:
        assert sum(pool.map(clerk, range(CLERKS))) == 1
    assert ClaimPayment.objects.count() == 1
    check(nuri)
