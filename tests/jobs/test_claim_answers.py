"""What payers answer to claims: recorded once, the last one counts, and the part is asked for."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.models import ClaimAnswer, HeldPart, Submission
from jobs.queries.held import List, in_list
from jobs.services import claim_answers, claims, held_leaves
from jobs.services.claim_answers import Said
from shop import clock
from shop.errors import AlreadyDone
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.claim_sent import a_sent_claim, approve, say, send

pytestmark = pytest.mark.django_db


def _record(crew: Crew, sent: Submission, said: Said) -> ClaimAnswer:
    return claim_answers.answer(crew.counter, act=uuid4(), submission=sent, said=said)


def _held(sent: Submission) -> HeldPart:
    return HeldPart.objects.get(replacement__complaint=sent.claim.complaint_id)


def test_accepted_in_full_agrees_to_every_line(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    say(crew.counter, sent, "accepted", reference="CV-1")
    claim = sent.claim
    claim.refresh_from_db()
    assert (claim.state, claim.agreed, claim.due_on) == ("accepted", sent.total, None)
    assert all(line.agreed == line.amount for line in claim.lines.all())


def test_accepted_for_less_in_all(crew: Crew) -> None:
    sent = a_sent_claim(crew, again_days=30)
    say(crew.counter, sent, "short", agreed=Decimal("200.00"), reason="hours")
    sent.claim.refresh_from_db()
    assert (sent.claim.state, sent.claim.agreed) == ("short", Decimal("200.00"))
    assert sent.claim.due_on == clock.today() + timedelta(days=30)


def test_accepted_for_less_line_by_line_leaves_the_other_lines_as_asked(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    labour = sent.claim.lines.get(kind="labour")
    less = labour.amount - 10
    say(crew.counter, sent, "short", lines={labour.pk: less})
    sent.claim.refresh_from_db()
    assert sent.claim.agreed == sent.total - 10
    assert [line.agreed == line.amount for line in sent.claim.lines.exclude(pk=labour.pk)] == [True]


@pytest.mark.parametrize(
    ("agreed", "says"),
    [
        (None, "what the payer agreed"),
        (Decimal("-1.00"), "not below zero"),
        (Decimal("0.00"), "is a refusal"),
        (Decimal("292.00"), "accepted in full"),
        (Decimal("9999.00"), "accepted in full"),
    ],
)
def test_for_less_is_less_and_not_nothing(crew: Crew, agreed: Decimal | None, says: str) -> None:
    sent = a_sent_claim(crew)
    assert sent.total == Decimal("292.00")
    with refused(says=says, field="agreed"):
        say(crew.counter, sent, "short", agreed=agreed)
    say(crew.counter, sent, "short", agreed=Decimal("291.99"))


def test_a_line_is_agreed_between_nothing_and_what_was_asked(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    line = sent.claim.lines.get(kind="labour")
    for wrong in (line.amount + 1, Decimal(-1)):
        with refused(says="between nothing and", field="lines"):
            say(crew.counter, sent, "short", lines={line.pk: wrong})
    with refused(says="The lines make"):
        say(crew.counter, sent, "short", lines={line.pk: Decimal(0)}, agreed=Decimal(5))
    with refused(says="not on this claim"):
        say(crew.counter, sent, "short", lines={line.pk + 999: Decimal(0)})
    say(crew.counter, sent, "short", lines={line.pk: Decimal(0)})


def test_refused_needs_a_reason_or_words_and_says_until_when_it_may_go_again(crew: Crew) -> None:
    sent = a_sent_claim(crew, again_days=10, days_are="working")
    with refused(says="Choose the reason", field="reason"):
        say(crew.counter, sent, "refused")
    say(crew.counter, sent, "refused", reason="reading")
    sent.claim.refresh_from_db()
    assert (sent.claim.state, sent.claim.agreed) == ("refused", Decimal(0))
    # Ten working days are two weeks, from whatever weekday but one at a weekend.
    ends = sent.claim.due_on
    assert ends is not None
    assert ends.weekday() < 5
    assert timedelta(days=12) <= ends - clock.today() <= timedelta(days=14)


def test_more_wanted_by_a_day_is_due_that_day(crew: Crew) -> None:
    sent = a_sent_claim(crew, again_days=90)
    by = clock.today() + timedelta(days=5)
    with refused(says="what the payer wants", field="words"):
        say(crew.counter, sent, "asked", wanted_by=by)
    say(crew.counter, sent, "asked", wanted_by=by, words="A photo of the meter")
    sent.claim.refresh_from_db()
    assert (sent.claim.state, sent.claim.due_on, sent.claim.agreed) == ("asked", by, None)


def test_the_part_wanted_is_on_the_list_of_what_to_send(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    by = clock.today() + timedelta(days=60)
    with refused(says="by when", field="wanted_by"):
        say(crew.counter, sent, "part")
    say(crew.counter, sent, "part", wanted_by=by)
    held = _held(sent)
    assert held.asked_for_on == by
    assert held.hold_until >= by
    assert list(in_list(crew.counter, List.SEND)) == [held]


def test_a_part_that_has_gone_is_not_asked_for(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    held, by = _held(sent), clock.today() + timedelta(days=9)
    held_leaves.send(crew.counter, act=uuid4(), held=held, revision=held.revision, to="Corvane")
    with refused(says="No part of this complaint is held"):
        say(crew.counter, sent, "part", wanted_by=by)
    say(crew.counter, sent, "asked", words="Where is the part?")


def test_an_answer_by_mistake_is_followed_by_another_and_the_last_counts(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    say(crew.counter, sent, "part", wanted_by=clock.today() + timedelta(days=9))
    say(crew.counter, sent, "accepted")
    sent.claim.refresh_from_db()
    assert sent.claim.state == "accepted"
    assert [one.kind for one in sent.answers.all()] == ["part", "accepted"]
    assert _held(sent).asked_for_on is None


def test_an_answer_lies_between_the_sending_and_today(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    today = clock.today()
    with refused(says="not come yet", field="answered_on"):
        _record(crew, sent, Said("accepted", today + timedelta(days=1)))
    with refused(says="not older", field="answered_on"):
        _record(crew, sent, Said("accepted", today - timedelta(days=1)))
    with refused(says="before the answer", field="wanted_by"):
        _record(crew, sent, Said("part", today, wanted_by=today - timedelta(days=1)))
    with refused(says="years away", field="wanted_by"):
        _record(crew, sent, Said("part", today, wanted_by=date(2999, 1, 1)))
    _record(crew, sent, Said("accepted", today))


def test_an_answer_to_a_sending_that_was_followed_by_another_is_refused(crew: Crew) -> None:
    first = a_sent_claim(crew)
    say(crew.counter, first, "refused", reason="papers")
    claim = first.claim
    claim.refresh_from_db()
    claims.reopen(crew.manager, act=uuid4(), claim=claim, revision=claim.revision)
    approve(crew, claim)
    with refused(says="belongs to a claim that was sent"):
        say(crew.counter, first, "accepted")
    second = send(crew.counter, claim, changed="The photo is there")
    with refused(says="sent again since, as number 2"):
        say(crew.counter, first, "accepted")
    say(crew.counter, second, "accepted")


def test_the_same_answer_twice_is_recorded_once_and_a_technician_records_none(crew: Crew) -> None:
    sent, act = a_sent_claim(crew), uuid4()
    with refused(says="prepares and sends claims"):
        say(crew.technician, sent, "accepted")
    said = Said("accepted", clock.today())
    claim_answers.answer(crew.counter, act=act, submission=sent, said=said)
    with pytest.raises(AlreadyDone):
        claim_answers.answer(crew.counter, act=act, submission=sent, said=said)
    assert sent.answers.count() == 1


@pytest.mark.parametrize(
    ("kind", "reason", "says"),
    [("maybe", "late", "Choose what"), ("refused", "mood", "from the list")],
)
def test_what_is_on_no_list_is_refused(crew: Crew, kind: str, reason: str, says: str) -> None:
    sent = a_sent_claim(crew)
    with refused(says=says):
        say(crew.counter, sent, kind, reason=reason)
    say(crew.counter, sent, "refused", reason="late")
