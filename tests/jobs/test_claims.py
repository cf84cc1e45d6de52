"""A claim from its draft to its end, before and beside what goes out: words, figures, states."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from itertools import product
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.claims.states import State, Step, may, next_of, steps_from, why_not
from jobs.models import Claim, ClaimPayer, Complaint, OtherLine, RepairOrder
from jobs.queries.claim_payers import payer_for
from jobs.queries.claims import claimable
from jobs.services import claim_payers, claims, moves
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash, Refusal
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to
from tests.jobs.bills import a_job, a_tax, issue, set_terms
from tests.jobs.claim_rows import a_claim_payer

pytestmark = pytest.mark.django_db
D = Decimal
WARRANTY = "vehicle_warranty"


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    return a_job(crew, Stage.READY, payer=WARRANTY)


@pytest.fixture
def payer(crew: Crew) -> ClaimPayer:
    return a_claim_payer(crew.manager, make="")


def begin(crew: Crew, order: RepairOrder, payer: ClaimPayer) -> Claim:
    return claims.draft(crew.manager, act=uuid4(), complaint=order.complaints.get(), payer=payer)


def do(crew: Crew, what: Any, claim: Claim, **more: Any) -> None:
    claim.refresh_from_db()
    what(crew.manager, act=uuid4(), claim=claim, **({"revision": claim.revision} | more))
    claim.refresh_from_db()


# ------------------------------------------------------------------ states


@pytest.mark.parametrize(("step", "state"), list(product(Step, State)))
def test_each_step_is_taken_or_refused_with_a_sentence(step: Step, state: State) -> None:
    said = why_not(step, state, "QW1001")
    assert (said == "") is may(step, state)
    assert said == "" or (said.startswith("QW1001 is ") and said.endswith("."))
    assert (step in steps_from(state)) is may(step, state)


@pytest.mark.parametrize("state", list(State))
def test_each_state_says_whose_move_it_is(state: State) -> None:
    assert next_of(state).act.endswith(".")


def test_what_was_sent_is_never_struck_out_and_what_was_not_is_never_written_off() -> None:
    for state in State:
        assert not (may(Step.VOID, state) and may(Step.WRITE_OFF, state))


# ------------------------------------------------------------------ drafting


def test_nothing_is_typed_again(crew: Crew, order: RepairOrder, payer: ClaimPayer) -> None:
    claim = begin(crew, order, payer)
    complaint = order.complaints.get()
    assert claim.number == f"{order.workshop.order_prefix}W{claim.serial}"
    assert claim.concern == complaint.words
    assert claim.correction == complaint.correction
    assert "ub-and-sensor assembly" in claim.cause
    assert [line.kind for line in claim.lines.all()] == ["part", "labour"]
    assert claim.claimed == sum(line.amount for line in claim.lines.all()) == D("292.00")


@pytest.mark.parametrize(
    ("rounding", "percent"), list(product(["line", "total"], ["100", "33.33"]))
)
def test_a_claim_asks_for_what_the_invoice_puts_down_for_its_payer(
    crew: Crew, payer: ClaimPayer, rounding: str, percent: str
) -> None:
    """To the cent, with tax; handling comes beside it."""
    a_tax(crew.manager.workshop, on_assemblies=True)
    set_terms(crew.manager.workshop, tolerance_percent=D(900), tax_rounding=rounding)
    order = a_job(crew)
    complaint = order.complaints.get()
    Complaint.objects.filter(pk=complaint.pk).update(payer=WARRANTY, payer_percent=D(percent))
    OtherLine.objects.bulk_create(
        OtherLine(
            complaint=complaint,
            kind="material",
            text=f"Material {number}",
            quantity=D("0.25") + D("0.35") * number,
            unit_price=D("1.07") + D("0.19") * number,
        )
        for number in range(5)
    )
    invoice = issue(crew.manager, order)
    claim = begin(crew, order, payer)
    assert claim.claimed == invoice.payer_total
    ClaimPayer.objects.filter(pk=payer.pk).update(handling_percent=D(10))
    claim.payer.refresh_from_db()
    do(crew, claims.read_again, claim)
    parts = sum(line.amount for line in claim.lines.all() if line.kind == "part")
    [handling] = [line.amount for line in claim.lines.all() if line.kind == "handling"]
    assert handling == (parts / 10).quantize(D("0.01"), "ROUND_HALF_UP")
    assert claim.claimed == invoice.payer_total + handling


def test_a_payer_that_pays_no_tax_is_asked_for_none(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    a_tax(crew.manager.workshop, on_assemblies=True)
    ClaimPayer.objects.filter(pk=payer.pk).update(pays_tax=False)
    payer.refresh_from_db()
    assert begin(crew, order, payer).claimed == D("292.00")


def test_what_the_customer_pays_is_claimed_of_nobody(crew: Crew, payer: ClaimPayer) -> None:
    with pytest.raises(Refusal, match="Decide first who pays"):
        begin(crew, a_job(crew), payer)


def test_a_payer_of_another_kind_is_not_asked(crew: Crew, order: RepairOrder) -> None:
    other = a_claim_payer(crew.manager, "Breakwater", kind="service_contract")
    with pytest.raises(Refusal, match="who pays as vehicle warranty"):
        begin(crew, order, other)


def test_work_that_is_not_authorised_is_not_claimed(crew: Crew, payer: ClaimPayer) -> None:
    order = a_job(crew, Stage.AWAITING_AUTHORITY, payer=WARRANTY)
    with pytest.raises(Refusal, match="not authorised yet"):
        begin(crew, order, payer)


def test_one_complaint_asks_one_payer_once(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    with pytest.raises(Clash, match=f"{claim.number} asks"):
        begin(crew, order, payer)
    do(crew, claims.void, claim, because="begun too early")
    second = begin(crew, order, payer)
    assert second.serial == claim.serial + 1


def test_the_same_sending_is_one_claim_and_numbers_have_no_gap(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    act, complaint = uuid4(), order.complaints.get()
    claims.draft(crew.manager, act=act, complaint=complaint, payer=payer)
    with pytest.raises(AlreadyDone):
        claims.draft(crew.manager, act=act, complaint=complaint, payer=payer)
    with pytest.raises(Clash):
        begin(crew, order, payer)
    another = begin(crew, a_job(crew, payer=WARRANTY), payer)
    assert [another.serial] == [Claim.objects.exclude(pk=another.pk).get().serial + 1]


def test_one_complaint_is_asked_of_one_payer_at_a_time(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    second = a_claim_payer(crew.manager, "Second desk", make="")
    with pytest.raises(Clash, match=f"{claim.number} asks"):
        begin(crew, order, second)
    Claim.objects.filter(pk=claim.pk).update(state="refused", first_sent_at=clock.now())
    begin(crew, order, second)
    with pytest.raises(Clash, match="asks Second desk"):
        do(crew, claims.reopen, claim)


def test_a_payer_that_no_longer_bears_the_complaint_is_asked_for_nothing(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    order.complaints.update(payer="goodwill")
    for act in (claims.approve, claims.read_again):
        more = {"known": True} if act is claims.approve else {}
        with pytest.raises(Refusal, match="Goodwill bears this complaint now"):
            do(crew, act, claim, **more)
    order.complaints.update(payer=WARRANTY, decision="undecided")
    with pytest.raises(Refusal, match="not authorised as it stands"):
        do(crew, claims.approve, claim, known=True)


def test_a_percentage_of_handling_is_held_to_a_hundred(vera: Actor) -> None:
    for percent in (D(-5), D(150), D(1000)):
        with pytest.raises(Refusal, match="from 0 to 100"):
            claim_payers.add(vera, act=uuid4(), given=given(handling_percent=percent))


# ------------------------------------------------------------------ words and approval


def test_two_editors_do_not_write_over_each_other(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    words = {"concern": "It pulls", "cause": "Open", "correction": "Replaced"}
    seen = claim.revision
    do(crew, claims.word, claim, revision=seen, **words)
    with pytest.raises(Clash, match="meanwhile"):
        do(crew, claims.word, claim, revision=seen, **(words | {"cause": "Shorted"}))
    claim.refresh_from_db()
    assert claim.cause == "Open"


def test_the_page_keeps_the_words_of_the_second_editor(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    address = reverse("claim-words", args=[order.workshop.slug, claim.number])
    browser, sent = client_of(crew.manager), {"revision": claim.revision, "concern": "It pulls"}
    assert browser.post(address, sent | {"act": uuid4(), "cause": "First"}).status_code == 303
    answer = browser.post(address, sent | {"act": uuid4(), "cause": "Second"})
    said = text_of(answer)
    assert "First" in said
    assert "Second" in said
    assert "changed this claim meanwhile" in said


def test_a_claim_without_a_concern_is_refused(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    with pytest.raises(Refusal, match="without a concern"):
        do(crew, claims.word, claim, concern=" ", cause="", correction="")


def test_figures_that_the_job_says_otherwise_are_not_approved(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    complaint = order.complaints.get()
    OtherLine.objects.create(
        complaint=complaint, kind="material", text="Fluid", quantity=D(1), unit_price=D("5.00")
    )
    with pytest.raises(Refusal, match="other figures now"):
        do(crew, claims.approve, claim, known=True)
    address = reverse("claim", args=[order.workshop.slug, claim.number])
    assert "The job says other figures" in text_of(client_of(crew.manager).get(address))
    do(crew, claims.read_again, claim)
    do(crew, claims.approve, claim, known=True)
    assert (claim.state, claim.approved_by) == ("approved", crew.manager.user)
    assert claim.claimed == D("297.00")


def test_an_approved_claim_is_opened_again_before_its_words_change(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    do(crew, claims.approve, claim, known=True)
    with pytest.raises(Refusal, match="only while it is being prepared"):
        do(crew, claims.word, claim, concern="x", cause="", correction="")
    do(crew, claims.reopen, claim)
    assert (claim.state, claim.approved_by) == ("draft", None)


def test_only_the_manager_approves(crew: Crew, order: RepairOrder, payer: ClaimPayer) -> None:
    claim = begin(crew, order, payer)
    with pytest.raises(Refusal, match="Only the service manager approves"):
        claims.approve(crew.counter, act=uuid4(), claim=claim, revision=claim.revision, known=True)


# ------------------------------------------------------------------ ends


def test_voiding_a_job_strikes_its_unsent_claims_out(crew: Crew, payer: ClaimPayer) -> None:
    order = a_repair_order(crew.manager, complaints=[a_complaint_line(payer=WARRANTY)])
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    claim = begin(crew, order, payer)
    order.refresh_from_db()
    moves.make(crew.manager, order, Move.VOID, revision=order.revision, reason="wrong car")
    claim.refresh_from_db()
    assert (claim.state, claim.closed_because) == ("void", f"{order.number} was voided")
    with pytest.raises(Refusal, match="void"):
        begin(crew, order, payer)


def test_a_job_with_a_claim_on_its_way_is_not_voided(crew: Crew, payer: ClaimPayer) -> None:
    order = a_repair_order(crew.manager, complaints=[a_complaint_line(payer=WARRANTY)])
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    claim = begin(crew, order, payer)
    Claim.objects.filter(pk=claim.pk).update(state="sent", first_sent_at=clock.now())
    order.refresh_from_db()
    with pytest.raises(Refusal, match="Write it off before the job is voided"):
        moves.make(crew.manager, order, Move.VOID, revision=order.revision, reason="wrong car")
    order.refresh_from_db()
    assert order.stage == Stage.AWAITING_ASSEMBLY
    Claim.objects.filter(pk=claim.pk).update(state="written_off", closed_at=clock.now())
    moves.make(crew.manager, order, Move.VOID, revision=order.revision, reason="wrong car")
    order.refresh_from_db()
    assert order.stage == Stage.VOID


def test_writing_off_takes_what_is_owed_and_needs_a_reason(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    with pytest.raises(Refusal, match="only what was sent"):
        do(crew, claims.write_off, claim, because="late")
    Claim.objects.filter(pk=claim.pk).update(
        state="short", first_sent_at=clock.now(), paid=D("200.00")
    )
    with pytest.raises(Refusal, match="Say why"):
        do(crew, claims.write_off, claim, because=" ")
    do(crew, claims.write_off, claim, because="their terms")
    assert (claim.state, claim.written_off) == ("written_off", D("92.00"))
    assert claim.closed_at is not None


# ------------------------------------------------------------------ who is asked


def given(**more: object) -> dict[str, object]:
    return {
        "name": "Corvane desk",
        "kind": WARRANTY,
        "make": "",
        "supplier": "",
        "account": "",
        "address": "",
        "days_are": "calendar",
        "file_days": 30,
        "again_days": None,
        "hold_days": None,
        "handling_percent": D(0),
        "pays_tax": True,
        "wants_photos": False,
        "wants_clock": False,
        "wants_serials": True,
        "wants_part": True,
    } | more


def test_the_payer_that_names_the_make_goes_before_one_for_any(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    named = a_claim_payer(crew.manager, "Corvane desk", make="corvane")
    other = a_claim_payer(crew.manager, "Hask desk", make="Hask")
    complaint = order.complaints.get()
    assert payer_for(complaint, [payer, other, named], None) == named
    assert payer_for(complaint, [payer, other], None) == payer
    assert payer_for(complaint, [other], None) is None
    both = [payer, a_claim_payer(crew.manager, "Second", make="")]
    assert payer_for(complaint, both, None) is None


def test_a_payer_is_added_changed_and_retired(crew: Crew, vera: Actor) -> None:
    row = claim_payers.add(vera, act=uuid4(), given=given())
    with pytest.raises(Refusal, match="of that name"):
        claim_payers.add(vera, act=uuid4(), given=given(file_days=10))
    change: dict[str, Any] = {"payer": row, "revision": row.revision}
    claim_payers.change(vera, act=uuid4(), given=given(file_days=20), **change)
    with pytest.raises(Clash):
        claim_payers.change(vera, act=uuid4(), given=given(file_days=21), **change)
    row.refresh_from_db()
    assert row.file_days == 20
    claim_payers.retire(vera, act=uuid4(), payer=row, revision=row.revision, retired=True)
    order = a_job(crew, payer=WARRANTY)
    assert claimable(order.complaints.all())[order.complaints.get().pk].payers == ()
    with pytest.raises(Refusal, match="Only the owner"):
        claim_payers.add(crew.manager, act=uuid4(), given=given(name="Another"))


def test_the_job_leads_to_its_claim(crew: Crew, order: RepairOrder, payer: ClaimPayer) -> None:
    browser = client_of(crew.manager)
    page = reverse("order", args=[order.workshop.slug, order.number])
    assert "Begin the claim" in text_of(browser.get(page))
    address = reverse("claim-draft", args=[order.workshop.slug, order.number, 1])
    answer = browser.post(address, {"act": uuid4(), "payer": payer.pk})
    claim = Claim.objects.get()
    assert answer.headers["Location"].endswith(f"/claims/{claim.number}/")
    said = text_of(browser.get(page))
    assert claim.number in said
    assert "Begin the claim" not in said
    assert claim.number in text_of(browser.get(reverse("claims", args=[order.workshop.slug])))


def test_what_is_missing_is_asked_once_and_never_passed_over(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    with pytest.raises(Refusal, match=r"missing\. Add it, or tick that you know"):
        do(crew, claims.approve, claim)
    claim.refresh_from_db()
    assert claim.state == "draft"
    do(crew, claims.approve, claim, known=True)
    assert claim.state == "approved"


def test_the_list_shows_apart_what_is_past_its_last_day(
    crew: Crew, order: RepairOrder, payer: ClaimPayer
) -> None:
    claim = begin(crew, order, payer)
    address = reverse("claims", args=[order.workshop.slug]) + "?group=late"
    browser = client_of(crew.manager)
    for days, listed in ((1, True), (0, False)):
        Claim.objects.update(due_on=clock.today() - timedelta(days=days))
        assert (claim.number in text_of(browser.get(address))) is listed
