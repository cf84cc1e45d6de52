"""The list of what a claim must show, on a job that goes its whole way."""

from __future__ import annotations

import pytest

from jobs.evidence.facts import Moment, Wants
from jobs.models import ClaimPayer, Complaint, HeldPart, Payer, Replacement
from jobs.queries.evidence import Evidence, evidence_of
from jobs.services import held
from jobs.stages import Stage
from jobs.views.evidence import panels
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, bring_to, prove, read_flags, take_reading
from tests.jobs.claim_rows import a_claim_payer
from tests.jobs.pictures import a_photo


def _one(complaint: Complaint, wants: Wants | None = None) -> Evidence:
    asked = {complaint.pk: wants} if wants else None
    return evidence_of([complaint], asked)[complaint.pk]


def _keys(complaint: Complaint, wants: Wants | None = None) -> set[str]:
    return {need.key for need in _one(complaint, wants).needs}


@pytest.fixture
def complaint(crew: Crew) -> Complaint:
    line = a_complaint_line(payer=Payer.VEHICLE_WARRANTY)
    return a_repair_order(
        crew.manager, technician=crew.technician, complaints=[line]
    ).complaints.get()


def test_on_the_first_day_everything_is_named_and_nothing_alarms(complaint: Complaint) -> None:
    found = _one(complaint)
    assert found.claimed
    assert found.facts.moment is Moment.TAKEN_IN
    assert {line.key for line in found.given} == {"words"}
    assert {line.key for line in found.later} >= {"cause", "flags-before", "correction"}
    assert found.now == ()


def test_each_thing_that_is_recorded_goes_off_the_list(crew: Crew, complaint: Complaint) -> None:
    order = complaint.order
    bring_to(Stage.DIAGNOSING, order, crew)
    assert _keys(complaint) >= {"flags-before", "cause", "condemned"}
    read_flags(crew.technician, order, "C0045")
    assert "flags-before" not in _keys(complaint)
    wants = Wants(photos=True)
    assert "photo-fault" in _keys(complaint, wants)
    a_photo(crew.technician, complaint)
    assert "photo-fault" not in _keys(complaint, wants)


def test_a_job_that_was_repaired_and_proved(crew: Crew, complaint: Complaint) -> None:
    order = complaint.order
    read_flags(crew.technician, order, "C0045")
    take_reading(crew.technician, order, "OL")
    bring_to(Stage.PROVING, order, crew)
    prove(crew, order)
    complaint.refresh_from_db()
    left = _keys(complaint)
    assert not left & {
        "cause",
        "condemned",
        "flags-before",
        "flags-after",
        "road-test",
        "authority",
    }
    assert "pointer" not in left


def test_the_payers_of_the_workshop_say_what_they_want(crew: Crew, complaint: Complaint) -> None:
    assert "clock" not in _keys(complaint)
    ClaimPayer.objects.create(
        workshop=crew.manager.workshop,
        name="Corvane",
        kind=Payer.VEHICLE_WARRANTY,
        wants_clock=True,
        wants_photos=True,
    )
    ClaimPayer.objects.create(
        workshop=crew.manager.workshop, name="Harl", kind=Payer.PARTS_WARRANTY, wants_serials=False
    )
    found = _one(complaint)
    assert (found.wants.clock, found.wants.photos, found.wants.serials) == (True, True, True)
    assert {"clock", "photo-plate"} <= _keys(complaint)


def test_what_a_payer_of_another_make_wants_is_not_asked(crew: Crew, complaint: Complaint) -> None:
    bring_to(Stage.DIAGNOSING, complaint.order, crew)
    a_claim_payer(crew.manager, "Hask desk", make="Hask", wants_photos=True)
    a_claim_payer(crew.manager, "Corvane desk", make="Corvane")
    assert "photo-fault" not in _keys(complaint)
    ClaimPayer.objects.filter(name="Corvane desk").update(wants_photos=True)
    assert "photo-fault" in _keys(complaint)


def test_many_complaints_cost_the_same_as_one(crew: Crew, complaint: Complaint) -> None:
    bring_to(Stage.REPAIRING, complaint.order, crew)
    more = [complaint]
    for _ in range(3):
        order = a_repair_order(crew.manager, technician=crew.technician)
        bring_to(Stage.REPAIRING, order, crew)
        more.append(order.complaints.get())
    with counted() as one:
        evidence_of([complaint])
    with counted() as many:
        evidence_of(more)
    assert len(many) == len(one)
    assert evidence_of([]) == {}


def test_the_job_shows_it_and_leads_to_where_each_is_entered(
    crew: Crew, complaint: Complaint, nuri: Actor
) -> None:
    order = complaint.order
    bring_to(Stage.DIAGNOSING, order, crew)
    url = f"/{order.workshop.slug}/orders/{order.number}/"
    page = text_of(client_of(crew.technician).get(url))
    assert "No module was read out before the repair" in page
    assert f"/sessions/{order.session_id}/flags/" in page
    assert f"/complaints/{complaint.line}/photos/" in page
    assert "No module was read out before the repair" in text_of(client_of(nuri).get(url))


def test_nobody_is_led_to_where_they_may_not_enter_it(
    crew: Crew, complaint: Complaint, nuri: Actor
) -> None:
    order = complaint.order
    bring_to(Stage.REPAIRING, order, crew)
    complaint.refresh_from_db()
    for who in (crew.technician, crew.manager, nuri):
        browser = client_of(who)
        (panel,) = panels(who, [order.complaints.get()])
        for item in (*panel.now, *panel.later):
            if item.url:
                assert browser.get(item.url).status_code == 200, (who, item.url)
    (mine,) = panels(crew.technician, [order.complaints.get()])
    assert next(item.url for item in mine.later if item.line.key == "road-test")
    assert next(item.url for item in mine.now if item.line.key == "correction")
    (theirs,) = panels(nuri, [order.complaints.get()])
    assert not next(item.url for item in theirs.now if item.line.key == "correction")


def test_a_part_must_be_held_until_the_payers_last_day(crew: Crew, complaint: Complaint) -> None:
    order = complaint.order
    bring_to(Stage.PROVING, order, crew)
    payer = ClaimPayer.objects.create(
        workshop=order.workshop, name="Corvane", kind=Payer.VEHICLE_WARRANTY, hold_days=5
    )
    part = Replacement.objects.get(complaint=complaint)
    if not HeldPart.objects.filter(replacement=part).exists():
        held.hold(crew.technician, part)
    assert "part" not in _keys(complaint)
    payer.hold_days = 400
    payer.save()
    assert "part" in _keys(complaint)
    assert "may go before this payer" in " ".join(one.sentence for one in _one(complaint).needs)
