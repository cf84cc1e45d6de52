"""A text for the official safety-defect complaint: when it is offered, what is in it, who is not.

Our own rules and words; what such an office asks for is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from diagnostics.models import Conclusion
from jobs.models import Complaint, RepairOrder, Terms
from jobs.queries.safety import offers_of
from jobs.safety_report import LikeFailures, Report, reasons, text, year_before
from jobs.services import unsafe
from jobs.stages import Stage
from shop import clock
from shop.models import Workshop
from shop.roles import Role
from tests.asserts import counted, text_of
from tests.cast import client_of, person
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

THERE = (Role.TECHNICIAN, Role.MANAGER, Role.COUNTER)
REPORT = Report(
    office="Vehicle Safety Office",
    workshop="Fennick Chassis Works, Quay Street",
    workshop_reached="1 Quay Street\n0100 200",
    model="Corvane Pell",
    model_year=2022,
    in_service_on=date(2022, 5, 3),
    came_in_on=date(2026, 3, 9),
    distance="61 240 km",
    complaint="The pedal goes soft",
    cause="master cylinder: leaks past the seals",
    shown_by=("Pedal travel 92 mm (allowed at most 70 mm)",),
    not_to_be_driven=("Pedal sinks to the floor",),
    correction="Master cylinder replaced",
    like=LikeFailures("Master cylinder", "Corvane Pell", 4, 3),
)


def test_the_text_says_what_is_known_part_by_part() -> None:
    assert text(REPORT) == (
        "To: Vehicle Safety Office\n\n"
        "Possible safety defect: Corvane Pell, master cylinder: leaks past the seals\n\n"
        "THE VEHICLE\nMake and model: Corvane Pell\nModel year: 2022\n"
        "In service since: 3 May 2022\nDistance: 61 240 km, read on 9 March 2026\n\n"
        "WHAT HAPPENED, in the words of the person who brought it\n“The pedal goes soft”\n\n"
        "WHAT WE FOUND\nMaster cylinder: leaks past the seals\n"
        "Shown by: Pedal travel 92 mm (allowed at most 70 mm)\n"
        "We marked the vehicle not to be driven: Pedal sinks to the floor.\n\n"
        "HOW OFTEN\nMaster cylinder of the Corvane Pell: failed 4 times on 3 vehicles in this "
        "workshop within twelve months.\n\n"
        "WHAT WAS DONE\nMaster cylinder replaced\n\n"
        "WHO WRITES\nFennick Chassis Works, Quay Street\n1 Quay Street\n0100 200\n"
        "The owner's name is left out; ask the workshop.\n"
    )


def test_what_is_not_known_is_said_or_left_out() -> None:
    bare = replace(
        REPORT,
        office="",
        workshop_reached="",
        model_year=None,
        in_service_on=None,
        cause="",
        shown_by=(),
        not_to_be_driven=(),
        correction="",
        like=None,
    )
    said = text(bare)
    assert said.startswith("Possible safety defect: Corvane Pell, cause not concluded yet\n")
    assert "Model year: not known\nIn service since: not known" in said
    assert "WHAT WE FOUND\nNot concluded yet.\n" in said
    assert "HOW OFTEN" not in said
    assert "Nothing yet when this was written." in said
    assert "VIN" not in said
    ticked = text(replace(bare, vin="TESTVIN", customer="Ada Roe, 0100 300"))
    assert "VIN: TESTVIN" in ticked
    assert "Owner: Ada Roe, 0100 300" in ticked
    assert "left out" not in ticked


@pytest.mark.parametrize(("times", "offered"), [(2, False), (3, True), (4, True)])
def test_it_is_offered_from_so_many_like_failures_on(times: int, offered: bool) -> None:
    like = LikeFailures("Hose", "Hask Orrin", times, times)
    assert bool(reasons(like, least=3, not_to_be_driven=())) is offered


def test_it_is_offered_at_once_when_the_vehicle_must_not_be_driven() -> None:
    assert reasons(None, least=3, not_to_be_driven=("Hose chafed to the cord",)) == (
        "The vehicle was marked not to be driven: Hose chafed to the cord.",
    )
    once = LikeFailures("Hose", "Hask Orrin", 1, 1)
    assert reasons(once, least=3, not_to_be_driven=()) == ()
    assert "failed once on 1 vehicle" in once.words


def test_a_year_before() -> None:
    assert year_before(date(2026, 3, 9)) == date(2025, 3, 9)
    assert year_before(date(2028, 2, 29)) == date(2027, 2, 28)
    assert year_before(date(2029, 2, 28)) == date(2028, 2, 28)


# ---------------------------------------------------------------- on a job


def a_failed_hub(crew: Crew) -> RepairOrder:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_AUTHORITY, order, crew)
    return order


def page_of(crew: Crew, order: RepairOrder, name: str = "order", **asked: str) -> str:
    line = [] if name == "order" else [1]
    url = reverse(name, args=[order.workshop.slug, order.number, *line])
    return text_of(client_of(crew.manager).get(url, asked))


def test_the_third_like_failure_within_twelve_months_offers_it(crew: Crew) -> None:
    a_failed_hub(crew)
    second = a_failed_hub(crew)
    assert not offers_of(second)
    assert "A safety defect?" not in page_of(crew, second)
    third = a_failed_hub(crew)
    (offer,) = offers_of(third).lines
    assert offer.line == 1
    assert "failed 3 times on 3 vehicles" in offer.reasons[0]
    assert "A safety defect?" in page_of(crew, third)
    assert "failed 3 times on 3 vehicles" in page_of(crew, third, "safety")
    assert offers_of(second)  # the earlier jobs show it too, now that it is known


def test_the_owner_says_after_how_many(crew: Crew) -> None:
    Terms.objects.create(workshop=crew.manager.workshop, safety_failures=2)
    a_failed_hub(crew)
    assert offers_of(a_failed_hub(crew))


def test_what_is_longer_ago_or_void_or_elsewhere_does_not_count(
    crew: Crew, millrace: Workshop
) -> None:
    with time_machine.travel(clock.now() - timedelta(days=400)):
        a_failed_hub(crew)
    gone = a_failed_hub(crew)
    RepairOrder.objects.filter(pk=gone.pk).update(stage=Stage.VOID, closed_at=clock.now())
    a_failed_hub(Crew(*(person(millrace, f"M{role}", role) for role in THERE)))
    a_failed_hub(crew)
    assert not offers_of(a_failed_hub(crew))


def test_a_vehicle_not_to_be_driven_offers_it_even_after_the_mark_was_lifted(crew: Crew) -> None:
    order = a_repair_order(crew.manager)
    assert not offers_of(order)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Hose chafed to the cord")
    (reason,) = offers_of(order).reasons
    assert reason == "The vehicle was marked not to be driven: Hose chafed to the cord."
    assert "A text for the official complaint" in page_of(crew, order)
    unsafe.lift(crew.manager, order, act=uuid4(), reason="Hose replaced")
    assert offers_of(order)
    assert "We marked the vehicle not to be driven" in page_of(crew, order, "safety-text")


def test_a_complaint_without_a_fault_is_not_offered_for(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Hose chafed to the cord")
    complaint = order.complaints.get()
    complaint.conclusion = Conclusion.objects.create(
        session=order.session,
        at=clock.now(),
        by=crew.technician.user,
        no_fault_found=True,
        evidenced=True,
    )
    complaint.save()
    assert not offers_of(order)
    Complaint.objects.create(order=order, line=2, words="Hose looks worn")
    Complaint.objects.create(order=order, line=3, words="Pedal soft")
    assert [offer.line for offer in offers_of(order).lines] == [2, 3]
    page = page_of(crew, order)
    assert page.count("The vehicle was marked not to be driven") == 1
    assert "A text for the official complaint about:" in page
    assert "“Pedal soft”" in page


def test_persons_are_left_out_unless_ticked(crew: Crew) -> None:
    order = a_failed_hub(crew)
    name, vin, plate = order.customer.name, order.vehicle.vin, order.vehicle.plate
    plain = page_of(crew, order, "safety-text")
    assert name not in plain
    assert vin not in plain
    assert order.customer.phone not in plain or not order.customer.phone
    assert plate not in plain
    ticked = page_of(crew, order, "safety-text", customer="yes", vin="yes")
    assert name in ticked
    assert vin in ticked


def test_the_page_names_the_place_and_says_that_nothing_is_sent(crew: Crew) -> None:
    order = a_failed_hub(crew)
    words = page_of(crew, order, "safety")
    assert "Stubaxle sends nothing and tells nobody." in words
    assert "The owner names it among the terms." in words
    assert "Nothing on this job asks for it so far." in words
    Terms.objects.create(
        workshop=order.workshop, safety_office="Vehicle Safety Office", safety_place="0100 999"
    )
    words = page_of(crew, order, "safety")
    assert "0100 999" in words
    assert "To: Vehicle Safety Office" in words


def test_the_text_alone_is_plain(crew: Crew) -> None:
    order = a_failed_hub(crew)
    url = reverse("safety-text", args=[order.workshop.slug, order.number, 1])
    answer = client_of(crew.technician).get(url)
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert client_of(crew.technician).get(url.replace("/1/", "/9/")).status_code == 404


def test_ten_complaints_cost_the_queries_of_one(crew: Crew) -> None:
    order = a_failed_hub(crew)
    unsafe.mark(crew.technician, order, act=uuid4(), because="Hub loose")

    def cost() -> int:
        fresh = RepairOrder.objects.select_related("workshop").get(pk=order.pk)
        with counted() as queries:
            offers_of(fresh)
        return len(queries)

    one = cost()
    for line in range(2, 11):
        Complaint.objects.create(order=order, line=line, words=f"Noise {line}")
    assert cost() == one <= 4
