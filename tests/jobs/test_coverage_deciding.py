"""Who pays, decided by a person: kept with the rules' word, refused, clashed, sent twice.

The words and the way of keeping are our own; that a decision can be shown later with the facts of
then is asked by every payer's audit: common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Complaint, CoverageDecision, Objection, RepairOrder
from jobs.queries.coverage import picture_of
from jobs.queries.terms import share_of
from jobs.services import coverage, declining, objections
from jobs.stages import Move, Stage
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import counted, refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, go
from tests.jobs.covering import (
    a_contract,
    a_term,
    an_objection,
    bare_pages,
    came_in,
    decided,
    in_service,
)


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """A job whose vehicle has a warranty that holds."""
    found = a_repair_order(crew.manager, technician=crew.technician)
    bare_pages(found)
    a_term(found, distance_m=200_000_000)
    in_service(found, came_in(found) - timedelta(days=300))
    return found


@pytest.fixture
def line(order: RepairOrder) -> Complaint:
    found: Complaint = order.complaints.get()
    return found


def address(order: RepairOrder, name: str = "who-pays", *more: int) -> str:
    return reverse(name, args=[order.workshop.slug, order.number, 1, *more])


def test_it_keeps_what_the_rules_said_and_the_facts_they_saw(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    a_contract(order, starts_on=came_in(order) - timedelta(days=90), deductible="80")
    row = decided(crew.manager, line, "vehicle_warranty", because="")
    line.refresh_from_db()
    assert (line.payer, line.payer_percent) == ("vehicle_warranty", Decimal(100))
    assert row.outcome == "covered"
    assert (row.seen_on, row.seen_at_m) == (came_in(order), 84_120_000)
    assert row.in_service_on == came_in(order) - timedelta(days=300)
    assert row.otherwise_because == ""
    judged = list(row.judgements.all())
    assert [one.kind for one in judged] == ["vehicle_warranty", "service_contract"]
    assert [one.decided for one in judged] == [True, False]
    assert LogEntry.objects.filter(kind="coverage", subject_id=order.pk).count() == 1


def test_a_year_later_it_is_shown_with_the_facts_of_then(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    then = came_in(order) - timedelta(days=300)
    row = decided(crew.manager, line, "vehicle_warranty")
    in_service(order, None)
    shown = text_of(client_of(crew.manager).get(address(order, "who-pays-decision", row.pk)))
    assert f"{then:%B} {then.year}" in shown
    assert "Chassis warranty" in shown
    now = text_of(client_of(crew.manager).get(address(order)))
    assert "not known" in now


def test_another_payer_than_the_rules_say_asks_why(line: Complaint, crew: Crew) -> None:
    with refused(field="because", says="vehicle warranty pays"):
        decided(crew.manager, line, "customer", because=" ")
    row = decided(crew.manager, line, "customer", because="The owner wishes it so")
    assert row.otherwise_because == "The owner wishes it so"
    assert row.payer == "customer"


def test_what_needs_a_person_asks_why(order: RepairOrder, line: Complaint, crew: Crew) -> None:
    in_service(order, None)
    with refused(field="because", says="leave this to you"):
        decided(crew.manager, line, "vehicle_warranty", because="")
    row = decided(crew.manager, line, "vehicle_warranty", because="Booklet shown by the owner")
    assert row.outcome == "needs_person"


def test_goodwill_wants_a_percentage_and_a_reason(line: Complaint, crew: Crew) -> None:
    with refused(field="because"):
        decided(crew.manager, line, "goodwill", percent="50", because="")
    with refused(field="percent"):
        decided(crew.manager, line, "goodwill", percent="0", because="A loyal customer")
    row = decided(crew.manager, line, "goodwill", percent="50", because="A loyal customer")
    line.refresh_from_db()
    assert (row.percent, line.payer_percent) == (Decimal(50), Decimal(50))
    assert line.share_because == "A loyal customer"


def test_the_deductible_of_the_contract_is_kept(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    bare_pages(order)
    a_contract(order, starts_on=came_in(order) - timedelta(days=90), deductible="80")
    row = decided(crew.manager, line, "service_contract")
    assert row.deductible == Decimal(80)
    shown = text_of(client_of(crew.manager).get(address(order, "who-pays-decision", row.pk)))
    assert "bears the first $80.00" in shown


def test_facts_that_changed_meanwhile_are_a_clash_and_shown(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    seen = picture_of(line).seen
    in_service(order, None)
    with pytest.raises(Clash):
        decided(crew.manager, line, "vehicle_warranty", seen=seen)
    web = client_of(crew.manager)
    sent = {
        "act": str(uuid4()),
        "seen": seen,
        "payer": "vehicle_warranty",
        "percent": "90",
        "because": "Typed before",
    }
    said = web.post(address(order, "who-pays-decide"), sent)
    assert "changed meanwhile" in text_of(said)
    assert "Typed before" in text_of(said)
    assert CoverageDecision.objects.count() == 0
    again = sent | {"seen": picture_of(line).seen}
    assert web.post(address(order, "who-pays-decide"), again).status_code == 303
    assert CoverageDecision.objects.get().percent == Decimal(90)


def test_sent_twice_it_is_kept_once(order: RepairOrder, line: Complaint, crew: Crew) -> None:
    web = client_of(crew.manager)
    sent = {"act": str(uuid4()), "seen": picture_of(line).seen, "payer": "vehicle_warranty"}
    for _time in range(2):
        assert web.post(address(order, "who-pays-decide"), sent).status_code == 303
    assert CoverageDecision.objects.count() == 1


def test_a_voided_job_is_decided_no_more(order: RepairOrder, line: Complaint, crew: Crew) -> None:
    decided(crew.manager, line, "vehicle_warranty")
    go(crew.manager, order, Move.VOID, reason="Opened by mistake")
    with refused(says="void"):
        decided(crew.manager, line, "vehicle_warranty")
    line.order.refresh_from_db()
    with refused(says="nothing is objected"):
        an_objection(crew.manager, line)
    shown = text_of(client_of(crew.manager).get(address(order)))
    assert "Nobody is asked to pay" in shown
    assert "Put down who pays" not in shown
    assert CoverageDecision.objects.count() == 1


def test_once_the_customer_agreed_another_payer_is_refused_and_the_same_is_kept(
    crew: Crew,
) -> None:
    order = bring_to(
        Stage.REPAIRING, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    line = order.complaints.get()
    with refused(says="agreed"):
        decided(crew.manager, line, "goodwill")
    assert decided(crew.manager, line, "customer").payer == "customer"


def test_only_the_manager_decides(line: Complaint, crew: Crew) -> None:
    with refused(says="service manager"):
        decided(crew.technician, line, "vehicle_warranty")
    assert decided(crew.manager, line, "vehicle_warranty")


# ------------------------------------------------------------------ objections


def test_an_objection_is_taken_back_with_a_reason_and_never_erased(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    row = an_objection(crew.manager, line, shown="Photograph of the dent")
    web = client_of(crew.manager)
    assert "must show that it caused" in text_of(web.get(address(order)))
    back = address(order, "who-pays-withdraw", row.pk)
    said = web.post(back, {"act": str(uuid4()), "because": ""})
    assert "Fill this in" in text_of(said)
    sent = {"act": str(uuid4()), "because": "The dent is older"}
    for _time in range(2):
        assert web.post(back, sent).status_code == 303
    assert "The dent is older" in text_of(web.get(address(order)))
    with refused(says="already"):
        objections.withdraw(crew.manager, act=uuid4(), objection=row, because="Once more")
    assert Objection.objects.count() == 1
    assert picture_of(line).decision.outcome == "covered"


def test_an_objection_is_put_down_once_with_what_was_seen(
    order: RepairOrder, line: Complaint, crew: Crew
) -> None:
    web = client_of(crew.manager)
    sent = {"act": str(uuid4()), "reason": "neglect", "words": "", "shown": ""}
    assert "Fill this in" in text_of(web.post(address(order, "who-pays-object"), sent))
    sent["words"] = "No service since it was new"
    for _time in range(2):
        assert web.post(address(order, "who-pays-object"), sent).status_code == 303
    assert Objection.objects.get().words == "No service since it was new"
    with refused(field="reason"):
        objections.object_to(crew.manager, act=uuid4(), complaint=line, reason="mood", words="None")


def test_one_act_is_one_decision(line: Complaint, crew: Crew) -> None:
    act = uuid4()

    def once() -> CoverageDecision:
        return coverage.decide_payer(
            crew.manager,
            act=act,
            complaint=line,
            payer="vehicle_warranty",
            percent=Decimal(100),
            because="",
            seen=picture_of(line).seen,
        )

    once()
    with pytest.raises(AlreadyDone):
        once()


# ------------------------------------------------------------------ on the job and at the Desk


def test_it_stands_on_the_job_from_the_first_day(order: RepairOrder, crew: Crew) -> None:
    in_service(order, None)
    page = reverse("order", args=[order.workshop.slug, order.number])
    shown = client_of(crew.technician).get(page)
    assert "needs a person" in text_of(shown)
    assert "Chassis warranty" in text_of(shown)
    vehicle = reverse("vehicle", args=[order.workshop.slug, order.vehicle_id])
    assert vehicle in shown.content.decode()
    edit = reverse("vehicle-edit", args=[order.workshop.slug, order.vehicle_id])
    assert edit in client_of(crew.manager).get(page).content.decode()
    assert address(order) in shown.content.decode()


def test_the_desk_says_what_ends_soon(order: RepairOrder, crew: Crew, ines: Actor) -> None:
    desk = reverse("desk", args=[order.workshop.slug])
    web = client_of(crew.manager)
    assert "Coverage ends soon" not in text_of(web.get(desk))
    in_service(order, came_in(order) - timedelta(days=3 * 365 - 20))
    assert "Coverage ends soon" in text_of(web.get(desk))
    with counted() as few:
        web.get(desk)
    for _job in range(5):
        another = a_repair_order(crew.manager, technician=crew.technician)
        in_service(another, came_in(order) - timedelta(days=3 * 365 - 20))
    with counted() as many:
        web.get(desk)
    assert len(few) == len(many)


def test_the_customer_bears_the_deductible_once_a_visit(crew: Crew, order: RepairOrder) -> None:
    """The second complaint of the visit bears none; who pays alone bears none either."""
    bare_pages(order)
    a_contract(order, starts_on=came_in(order) - timedelta(days=90), deductible="80")
    first = order.complaints.get()
    decided(crew.manager, first, "service_contract")
    first.refresh_from_db()
    assert first.deductible == Decimal(80)
    again = Complaint.objects.create(order=order, line=2, words="The same on the right")
    decided(crew.manager, again, "service_contract")
    again.refresh_from_db()
    assert again.deductible == 0
    assert share_of(first).deductible == Decimal(80)
    decided(crew.manager, again, "customer")
    again.refresh_from_db()
    assert (again.payer, again.deductible) == ("customer", Decimal(0))


@pytest.fixture
def both(crew: Crew, order: RepairOrder) -> tuple[Complaint, Complaint]:
    """Two complaints of a visit that a contract pays for, the first with its deductible."""
    bare_pages(order)
    a_contract(order, starts_on=came_in(order) - timedelta(days=90), deductible="80")
    first = order.complaints.get()
    decided(crew.manager, first, "service_contract")
    second = Complaint.objects.create(order=order, line=2, words="The same on the right")
    decided(crew.manager, second, "service_contract")
    return first, second


def deductibles(order: RepairOrder) -> list[Decimal]:
    return list(order.complaints.order_by("line").values_list("deductible", flat=True))


def test_the_deductible_goes_on_when_the_customer_pays_the_first_complaint_alone(
    crew: Crew, order: RepairOrder, both: tuple[Complaint, Complaint]
) -> None:
    assert deductibles(order) == [80, 0]
    decided(crew.manager, both[0], "customer", because="The customer asked for it.")
    assert deductibles(order) == [0, 80]
    decided(crew.manager, both[0], "service_contract")
    assert deductibles(order) == [0, 80]


def test_the_deductible_goes_on_when_the_first_complaint_is_declined(
    order: RepairOrder, both: tuple[Complaint, Complaint]
) -> None:
    declining.decline(both[0], {})
    assert deductibles(order) == [0, 80]
