"""A claim refused for a missing reading, made good, sent again, paid short, and written off."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from playwright.sync_api import FilePayload, Locator, Page, expect

from diagnostics.models import Reading
from jobs.models import Claim, Payer, RepairOrder, Replacement
from jobs.queries.claim_lines import sum_of
from jobs.services import (
    claim_answers,
    claim_payers,
    claim_sending,
    claims,
    estimate,
    fitting,
    parts,
)
from jobs.services.claim_answers import Said
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import (
    Crew,
    answer,
    bring_to,
    conclude_the_hub,
    give_estimate,
    go,
    read_flags,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

REFUSED = "No reading condemns the part. Send the sensor’s resistance with its limit."
CHANGED = "The sensor’s resistance is added, with its limit and its source."


@dataclass
class Walk:
    manager: Tablet
    technician: Tablet
    order: RepairOrder
    claim: Claim

    @property
    def address(self) -> str:
        return f"/quay-street/claims/{self.claim.number}/"

    def now(self) -> Claim:
        self.claim.refresh_from_db()
        return self.claim


def test_a_refused_claim_is_proved_sent_again_paid_short_and_written_off(
    tablet: Opener, crew: Crew, vera: Actor
) -> None:
    order = with_the_part_off(crew)
    claim = refused(crew, vera, order)
    walk = Walk(tablet(crew.manager), tablet(crew.technician), order, claim)
    the_refusal_is_seen(walk)
    the_reading_is_added(walk)
    it_goes_under_the_cause(walk, crew)
    words_are_changed_and_approved(walk)
    sent_again_with_what_changed(walk)
    accepted_for_less(walk)
    the_file_is_taken_and_matched(walk)
    the_rest_is_written_off(walk)
    the_ledger_shows_it(walk)


def with_the_part_off(crew: Crew) -> RepairOrder:
    """The maker pays; the cause was named from a flag, and nobody measured."""
    vehicle = a_vehicle(crew.manager, plate="3DN 6120")
    order = a_repair_order(crew.manager, vehicle=vehicle, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    read_flags(crew.technician, order, "C0045")
    complaint = order.complaints.get()
    conclude_the_hub(crew.technician, complaint)
    estimate.share(
        crew.manager,
        act=uuid4(),
        complaint=complaint,
        payer=Payer.VEHICLE_WARRANTY,
        percent=Decimal(100),
        because="",
    )
    complaint.refresh_from_db()
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=complaint)
    go(crew.technician, order, Move.ASK_AUTHORITY)
    give_estimate(crew, order)
    answer(crew, order)
    keys = [part.pk for part in Replacement.objects.filter(complaint__order=order)]
    tomorrow = clock.today() + timedelta(days=1)
    parts.order(
        crew.counter, act=uuid4(), replacements=keys, reference="A 17", expected_on=tomorrow
    )
    parts.receive(crew.counter, act=uuid4(), replacements=keys, hand_over=True)
    order.refresh_from_db()
    assert order.stage == Stage.REPAIRING
    return order


def refused(crew: Crew, owner: Actor, order: RepairOrder) -> Claim:
    """What the Counter sent yesterday, and the answer to it."""
    payer = claim_payers.add(owner, act=uuid4(), given=A_PAYER)
    claim = claims.draft(crew.counter, act=uuid4(), complaint=order.complaints.get(), payer=payer)
    claims.approve(crew.manager, act=uuid4(), claim=claim, revision=claim.revision, known=True)
    sent = claim_sending.send(
        crew.counter,
        act=uuid4(),
        claim=claim,
        revision=claim.revision,
        by_way_of="their web page",
        lacking_known=True,
    )
    said = Said(kind="refused", answered_on=clock.today(), reason="reading", words=REFUSED)
    claim_answers.answer(crew.counter, act=uuid4(), submission=sent, said=said)
    claim.refresh_from_db()
    assert claim.state == "refused"
    return claim


A_PAYER: dict[str, object] = {
    "name": "Corvane warranty department",
    "kind": Payer.VEHICLE_WARRANTY,
    "make": "",
    "supplier": "",
    "account": "CV-40-118",
    "address": "",
    "days_are": "working",
    "file_days": 20,
    "again_days": 15,
    "hold_days": 30,
    "handling_percent": Decimal(10),
    "pays_tax": False,
    "wants_photos": False,
    "wants_clock": False,
    "wants_serials": False,
    "wants_part": False,
}


def main_of(page: Page) -> Locator:
    return page.locator("main")


def press(page: Page, name: str) -> None:
    """Press a button or follow a link of the page itself, not of the bar above it."""
    found = main_of(page).get_by_role("button", name=name, exact=True)
    found.or_(main_of(page).get_by_role("link", name=name, exact=True)).first.click()


def unfold(page: Page, title: str) -> Locator:
    fold = page.locator("details", has=page.locator("summary", has_text=title)).last
    fold.locator("summary").first.click()
    return fold


def the_refusal_is_seen(walk: Walk) -> None:
    page = walk.manager.go("/quay-street/claims/")
    main_of(page).get_by_role("link", name=walk.claim.number).first.click()
    expect(main_of(page)).to_contain_text(REFUSED)
    expect(main_of(page)).to_contain_text("a reading or its limit is missing")


def the_reading_is_added(walk: Walk) -> None:
    """The job says what is missing, and the way to it is one tap."""
    page = walk.technician.go(f"/quay-street/orders/{walk.order.number}/")
    missing = main_of(page).locator(".check", has_text="Reading outside its limit")
    expect(missing).to_contain_text("No reading outside its limit carries the cause")
    missing.get_by_role("link", name=re.compile("Enter it")).click()
    free = page.locator("#free")
    page.get_by_label("What is measured").select_option("sensor_resistance")
    expect(free.locator("input[name=quantity]")).to_have_value("sensor_resistance")
    page.get_by_label("On which unit").select_option(label="Rear hub-and-sensor assembly")
    expect(free.locator("input[name=component]")).not_to_have_value("")
    page.get_by_label("Where").select_option("LR")
    expect(free.locator("input[name=position]")).to_have_value("LR")
    page.get_by_label("Part temperature").fill("20")
    page.get_by_label("Noted with it").fill("at the plug, harness moved by hand")
    press(page, "The meter shows OL")
    expect(page.locator(".measured-all")).to_contain_text("over range")
    taken = Reading.objects.get(session=walk.order.session_id)
    assert (taken.verdict, taken.phase) == ("outside", "as_found"), (taken.verdict, taken.phase)


def it_goes_under_the_cause(walk: Walk, crew: Crew) -> None:
    order = walk.order
    fitting.acknowledge(crew.technician, act=uuid4(), order=order)
    for part in Replacement.objects.filter(complaint__order=order):
        fitting.fit(crew.technician, act=uuid4(), replacement=part)
    order.refresh_from_db()
    if order.stage == Stage.REPAIRING:
        go(crew.technician, order, Move.ALL_FITTED)
    page = walk.technician.go(f"/quay-street/orders/{order.number}/")
    missing = main_of(page).locator(".check", has_text="Reading outside its limit")
    expect(missing).to_contain_text("does not stand under the cause")
    missing.get_by_role("link", name=re.compile("Enter it")).click()
    page.get_by_role("radio", name=re.compile("hub-and-sensor assembly, left rear")).check()
    page.get_by_label("How it failed").select_option(label="Sensor harness opens when moved")
    shows = page.get_by_role("group", name="What shows it")
    shows.get_by_role("checkbox", name=re.compile("over range, outside")).check()
    press(page, "Conclude")
    expect(main_of(page)).to_contain_text("Concluded by Ines R.")
    missing = main_of(page).locator(".check", has_text="Reading outside its limit")
    expect(missing).to_have_count(0)


def words_are_changed_and_approved(walk: Walk) -> None:
    page = walk.manager.go(walk.address)
    unfold(page, "Open it again")
    press(page, "Open it")
    expect(main_of(page)).to_contain_text("Being prepared")
    unfold(page, "Take figures and cause from the job again")
    press(page, "Take them")
    expect(main_of(page)).to_contain_text("over range")
    words = unfold(page, "Change the words")
    cause = words.get_by_label("Cause")
    cause.fill(f"{cause.input_value()}\nMeasured at the plug with the harness moved.")
    press(page, "Keep the words")
    expect(main_of(page)).to_contain_text("Measured at the plug with the harness moved.")
    if (known := page.get_by_label(re.compile("I know what is missing"))).count():
        known.check()
    press(page, "Approve this claim")
    expect(main_of(page)).to_contain_text("Approved, to be sent")


def sent_again_with_what_changed(walk: Walk) -> None:
    page = walk.manager.page
    page.get_by_label("How it went out").fill("their web page")
    page.get_by_label("What changed since the last time").fill(CHANGED)
    if (known := page.get_by_label(re.compile("I know what is missing"))).count():
        known.check()
    press(page, "It went out")
    expect(main_of(page)).to_contain_text(f"{walk.claim.number}/2")
    expect(main_of(page)).to_contain_text(CHANGED)
    assert walk.now().submissions.count() == 2


def accepted_for_less(walk: Walk) -> None:
    page, claim = walk.manager.page, walk.now()
    less = claim.claimed - 20
    page.get_by_role("radio", name="accepted for less").check()
    page.get_by_label("Answered on").fill(clock.today().isoformat())
    page.get_by_label("Agreed, of the whole claim").fill(str(less))
    page.get_by_label("Reason", exact=True).select_option(label="more hours than allowed")
    press(page, "Record it")
    expect(main_of(page)).to_contain_text("Accepted for less")
    assert (walk.now().state, walk.now().agreed) == ("short", less)


def the_file_is_taken_and_matched(walk: Walk) -> None:
    claim = walk.now()
    day = clock.today().isoformat()
    text = f"claim number,paid on,amount,reference\n{claim.number},{day},{claim.agreed},R-1\n"
    page = walk.manager.go("/quay-street/claims/payments/take/")
    page.get_by_label("Whose file").select_option(label="Corvane warranty department")
    page.get_by_label("File", exact=True).set_input_files(
        FilePayload(name="remittance.csv", mimeType="text/csv", buffer=text.encode())
    )
    press(page, "Read this file")
    expect(main_of(page)).to_contain_text("matched")
    main_of(page).get_by_role("button", name=re.compile("Book the matched line")).click()
    expect(main_of(page)).to_contain_text(f"Booked for {claim.number}")
    assert (walk.now().paid, walk.now().state) == (claim.agreed, "short")


def the_rest_is_written_off(walk: Walk) -> None:
    page = walk.manager.go(walk.address)
    expect(main_of(page)).to_contain_text("owed")
    fold = unfold(page, "Give up what is owed")
    fold.get_by_role("textbox").fill("Diagnosis is not paid by them.")
    press(page, "Write it off")
    expect(main_of(page)).to_contain_text("Diagnosis is not paid by them.")
    claim = walk.now()
    assert (claim.state, claim.written_off) == ("written_off", Decimal("20.00"))
    assert claim.paid + claim.written_off == claim.claimed == sum_of_lines(claim)


def sum_of_lines(claim: Claim) -> Decimal:
    return sum_of(claim.lines.all())  # type: ignore[arg-type]  # lines have an amount too


def the_ledger_shows_it(walk: Walk) -> None:
    page = walk.manager.go("/quay-street/claims/ledger/")
    expect(main_of(page)).to_contain_text("Corvane warranty department")
    expect(main_of(page)).to_contain_text("A reading or its limit is missing")
    expect(main_of(page)).to_contain_text("$20.00")
