"""Money of payers, by hand and by their files: nothing is counted twice."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from jobs.models import Claim, ClaimPayment, PaymentFile, PaymentRow
from jobs.services import claim_payments
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Refusal
from shop.models import LogEntry
from shop.money import total
from tests.asserts import refused
from tests.jobs.claim_rows import (
    HEAD,
    a_claim_payer,
    a_claim_row,
    a_line,
    a_payment_file,
)

ALL = {"labour": "100.00", "parts": "200.00", "handling": "20.00", "tax": "32.00"}


def pay(
    actor: Actor, claim: Claim, amounts: dict[str, str] | None = None, **more: Any
) -> ClaimPayment:
    given = {kind: Decimal(amount) for kind, amount in (amounts or ALL).items()}
    asked = {"act": uuid4(), "paid_on": clock.today(), **more}
    return claim_payments.pay(actor, claim=claim, amounts=given, **asked)


def now(claim: Claim) -> Claim:
    fresh = Claim.objects.get(pk=claim.pk)
    assert fresh.paid == total(fresh.payments.values_list("amount", flat=True))
    return fresh


def test_all_that_was_claimed_makes_it_paid(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    payment = pay(nuri, claim, reference="REM-1")
    assert (payment.amount, payment.labour, payment.sublet) == (Decimal(352), Decimal(100), 0)
    after = now(claim)
    assert (after.state, after.paid) == (Claim.State.PAID, Decimal(352))
    assert after.closed_at is not None
    said = LogEntry.objects.latest("pk")
    assert said.words == f"booked $352.00 paid by Corvane for claim {claim.number}"


@pytest.mark.parametrize(
    ("state", "agreed", "then"),
    [
        ("sent", None, "short"),
        ("asked", None, "short"),
        ("refused", None, "short"),
        ("accepted", "352.00", "accepted"),
        ("short", "100.00", "short"),
    ],
)
def test_a_part_leaves_the_rest_owed(
    nuri: Actor, state: str, agreed: str | None, then: str
) -> None:
    claim = a_claim_row(nuri, state=state, agreed=agreed)
    pay(nuri, claim, {"labour": "100.00"})
    assert (now(claim).state, now(claim).closed_at) == (then, None)
    pay(nuri, claim, {"parts": "252.00"})
    assert now(claim).state == Claim.State.PAID


@pytest.mark.parametrize(
    ("state", "words"), [("draft", "not sent"), ("approved", "not sent"), ("void", "void")]
)
def test_money_for_what_never_went_out_is_refused(nuri: Actor, state: str, words: str) -> None:
    claim = a_claim_row(nuri, state=state)
    with refused(says=words):
        pay(nuri, claim)
    assert pay(nuri, a_claim_row(nuri)).amount == 352


@pytest.mark.parametrize("state", ["draft", "approved"])
def test_money_comes_also_while_a_claim_is_prepared_to_go_out_again(
    nuri: Actor, state: str
) -> None:
    claim = a_claim_row(nuri)
    Claim.objects.filter(pk=claim.pk).update(state=state)
    file = a_payment_file(nuri, a_line(claim, "100.00"))
    assert claim_payments.book_matched(nuri, act=uuid4(), file=file) == (1, 0)
    assert now(claim).state == state
    pay(nuri, claim, {"parts": "252.00"})
    assert now(claim).state == Claim.State.PAID


def test_more_than_is_owed_is_asked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    with refused(field="sure", says="Only $352.00 is owed"):
        pay(nuri, claim, {"labour": "352.01"})
    pay(nuri, claim, {"labour": "352.01"}, sure=True)
    assert (now(claim).state, now(claim).paid) == (Claim.State.PAID, Decimal("352.01"))


def test_what_was_taken_back_is_owed_again_and_has_a_reason(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    pay(nuri, claim)
    with refused(field="because", says="why"):
        pay(nuri, claim, {"labour": "100.00"}, taken_back=True)
    with refused(field="amount", says="Only $352.00 was paid"):
        pay(nuri, claim, {"labour": "400.00"}, taken_back=True, because="audit")
    back = pay(nuri, claim, {"labour": "100.00"}, taken_back=True, because="audit")
    assert (back.kind, back.amount, back.labour) == ("taken_back", Decimal(-100), Decimal(-100))
    after = now(claim)
    assert (after.state, after.closed_at, after.paid) == ("short", None, Decimal(252))
    assert LogEntry.objects.latest("pk").reason == "audit"


def test_money_for_what_was_written_off_is_asked_and_makes_the_loss_smaller(nuri: Actor) -> None:
    claim = a_claim_row(nuri, state="written_off")
    with refused(field="sure"):
        pay(nuri, claim, {"labour": "100.00"})
    pay(nuri, claim, {"labour": "100.00"}, sure=True)
    assert (now(claim).state, now(claim).written_off) == ("written_off", Decimal(252))
    pay(nuri, claim, {"labour": "252.00"}, sure=True)
    assert (now(claim).state, now(claim).written_off) == ("paid", Decimal(0))


@pytest.mark.parametrize(
    ("amounts", "more", "field", "words"),
    [
        ({"labour": "-1.00"}, {}, "labour", "above zero"),
        ({"labour": "0.00"}, {}, "labour", "what was paid"),
        ({"labour": "9999999.99", "tax": "1.00"}, {}, "labour", "Check the digits"),
        (ALL, {"days": 1}, "paid_on", "check the day"),
        (ALL, {"reference": "R" * 61}, "reference", "at most 60"),
        (ALL, {"because": "b" * 201}, "because", "at most 200"),
    ],
)
def test_bad_input_is_answered_with_a_sentence(
    nuri: Actor, amounts: dict[str, str], more: dict[str, Any], field: str, words: str
) -> None:
    claim = a_claim_row(nuri)
    asked = dict(more)
    if days := asked.pop("days", 0):
        asked["paid_on"] = clock.today() + timedelta(days=days)
    with refused(field=field, says=words):
        pay(nuri, claim, amounts, **asked)
    assert now(claim).paid == 0
    pay(nuri, claim)


def test_a_payment_sent_twice_is_booked_once(nuri: Actor) -> None:
    claim, act = a_claim_row(nuri), uuid4()
    pay(nuri, claim, {"labour": "10.00"}, act=act)
    with pytest.raises(AlreadyDone):
        pay(nuri, claim, {"labour": "10.00"}, act=act)
    assert now(claim).paid == 10


def test_only_who_prepares_claims_books_their_money(nuri: Actor, ines: Actor, pim: Actor) -> None:
    claim = a_claim_row(nuri)
    with refused(says="prepares and sends claims"):
        pay(ines, claim)
    with refused(says="not in this workshop"):
        pay(pim, claim)
    pay(nuri, claim)


def test_a_file_is_kept_line_by_line_and_books_nothing_yet(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    file = a_payment_file(nuri, a_line(claim, "352.00", "R1"), a_line("QC9999", reference="R2"))
    matched, none = file.rows.all()
    assert (matched.match, matched.claim, matched.line) == ("exact", claim, 2)
    assert (none.match, none.claim, none.line) == ("none", None, 3)
    assert now(claim).paid == 0


def test_the_same_bytes_are_refused_with_when_and_by_whom(nuri: Actor, bela: Actor) -> None:
    claim = a_claim_row(nuri)
    a_payment_file(nuri, a_line(claim))
    with refused(field="file", says=f"{nuri.user} took this very file on {clock.today()}"):
        a_payment_file(bela, a_line(claim), name="again.csv", payer=a_claim_payer(nuri, "Hask"))
    assert PaymentFile.objects.count() == 1
    a_payment_file(bela, a_line(claim, "11.00"))


def test_a_file_sent_twice_by_one_act_is_taken_once(nuri: Actor) -> None:
    payer, act = a_claim_payer(nuri), uuid4()
    raw = f"{HEAD}\n{a_line('QC1')}".encode()
    claim_payments.take_file(nuri, act=act, payer=payer, name="a.csv", raw=raw)
    with pytest.raises(AlreadyDone):
        claim_payments.take_file(nuri, act=act, payer=payer, name="a.csv", raw=raw)
    assert PaymentRow.objects.count() == 1


def test_a_bad_file_is_refused_with_line_and_column_and_kept_nowhere(nuri: Actor) -> None:
    with refused(field="file", says="Line 2, column “amount”"):
        a_payment_file(nuri, a_line("QC1", "-4.00"))
    with refused(field="payer", says="not in this workshop"):
        claim_payments.take_file(
            nuri, act=uuid4(), payer=type(a_claim_payer(nuri))(pk=0), name="", raw=b"x"
        )
    assert not PaymentFile.objects.exists()
    a_payment_file(nuri, a_line("QC1", "4.00"))


def test_the_same_line_in_another_file_is_asked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    a_payment_file(nuri, a_line(claim, reference="R1"), name="first.csv")
    again = a_payment_file(nuri, a_line(claim, reference="R1"), a_line(claim, "11.00", "R2"))
    same, other = again.rows.all()
    assert same.match == "probable"
    assert "Line 2 of first.csv" in same.because
    assert other.match == "exact"


def test_sure_lines_are_booked_in_one_act_and_once(nuri: Actor) -> None:
    claims = [a_claim_row(nuri) for _ in range(3)]
    file = a_payment_file(nuri, *(a_line(claim, "352.00") for claim in claims), a_line("QC9999"))
    act = uuid4()
    assert claim_payments.book_matched(nuri, act=act, file=file) == (3, 0)
    with pytest.raises(AlreadyDone):
        claim_payments.book_matched(nuri, act=act, file=file)
    with refused(says="No line"):
        claim_payments.book_matched(nuri, act=uuid4(), file=file)
    assert [now(claim).paid for claim in claims] == [352, 352, 352]
    assert ClaimPayment.objects.count() == 3


def test_a_line_whose_claim_was_paid_meanwhile_is_left_and_asked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    file = a_payment_file(nuri, a_line(claim, "352.00"))
    pay(nuri, claim)
    assert claim_payments.book_matched(nuri, act=uuid4(), file=file) == (0, 1)
    row = file.rows.get()
    assert (row.match, row.payment) == ("probable", None)
    assert "Only $0.00 is owed" in row.because
    assert now(claim).paid == 352


def test_a_line_without_its_parts_is_shared_out_as_the_claim_asks(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    file = a_payment_file(nuri, a_line(claim, "176.00"))
    claim_payments.book_matched(nuri, act=uuid4(), file=file)
    payment = claim.payments.get()
    assert (payment.labour, payment.parts, payment.handling, payment.tax) == (50, 100, 10, 16)


def test_a_person_settles_a_probable_line_and_only_once(nuri: Actor, bela: Actor) -> None:
    claim = a_claim_row(nuri)
    other = a_claim_row(nuri, payer=a_claim_payer(nuri, "Hask"))
    row = a_payment_file(nuri, a_line(claim.number[2:], "352.00")).rows.get()
    assert (row.match, row.claim) == ("probable", claim)
    with refused(field="claim", says="is asked of Hask"):
        claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=other)
    claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim)
    with refused(says=f"{nuri.user} has booked this line already, for {claim.number}"):
        claim_payments.settle_row(bela, act=uuid4(), row=row, claim=claim, sure=True)
    with refused(says="already"):
        claim_payments.set_aside(bela, act=uuid4(), row=row, because="doubled")
    assert now(claim).paid == 352


def test_a_line_for_more_than_is_owed_is_settled_only_when_it_is_said(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    row = a_payment_file(nuri, a_line(claim, "400.00")).rows.get()
    with refused(field="sure", says="is more"):
        claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim)
    claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim, sure=True)
    assert now(claim).paid == 400


def test_a_line_is_set_aside_for_a_reason_and_can_still_be_booked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    row = a_payment_file(nuri, a_line(claim)).rows.get()
    with refused(field="because"):
        claim_payments.set_aside(nuri, act=uuid4(), row=row, because=" ")
    claim_payments.set_aside(nuri, act=uuid4(), row=row, because="the payer called it an error")
    with refused(says="No line"):
        claim_payments.book_matched(nuri, act=uuid4(), file=row.file)
    claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim)
    row.refresh_from_db()
    assert (row.set_aside_at, now(claim).paid) == (None, 10)


def test_strangers_settle_nothing_here(nuri: Actor, pim: Actor, ines: Actor) -> None:
    claim = a_claim_row(nuri)
    file = a_payment_file(nuri, a_line(claim))
    row = file.rows.get()
    for actor in (pim, ines):
        for act in (
            lambda who: claim_payments.settle_row(who, act=uuid4(), row=row, claim=claim),
            lambda who: claim_payments.set_aside(who, act=uuid4(), row=row, because="no"),
            lambda who: claim_payments.book_matched(who, act=uuid4(), file=file),
        ):
            with pytest.raises(Refusal):
                act(actor)
    claim_payments.settle_row(nuri, act=uuid4(), row=row, claim=claim)


def test_what_was_booked_by_hand_is_asked_when_the_file_says_it_too(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    pay(nuri, claim, {"labour": "50.00"})
    [row] = a_payment_file(nuri, a_line(claim, "50.00"), payer=claim.payer).rows.all()
    assert row.match == PaymentRow.Match.PROBABLE
    assert "booked on it already" in row.because
    assert now(claim).paid == Decimal("50.00")
