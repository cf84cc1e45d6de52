"""Cause and correction of a complaint."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.services.conclusions import Finding
from jobs.models import Complaint, RepairOrder
from jobs.queries.suspects import suspects_of
from jobs.services import complaints, conclusions
from jobs.stages import Move, Stage
from shop.errors import Clash
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import (
    Crew,
    bring_to,
    conclude_the_hub,
    go,
    read_flags,
    take_reading,
    the_hub,
)


def diagnosing(crew: Crew) -> tuple[RepairOrder, Complaint]:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    complaint = order.complaints.get()
    complaint.order = order
    return order, complaint


def test_it_refuses_a_conclusion_before_diagnosis_has_begun_and_takes_it_after(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    complaint = order.complaints.get()
    with refused(says="The job is received"):
        conclude_the_hub(crew.technician, complaint)
    go(crew.technician, order, Move.BEGIN)
    complaint.refresh_from_db()
    conclude_the_hub(crew.technician, complaint)
    assert complaint.conclusion is not None


def test_what_the_flag_and_the_reading_point_at_is_suggested_first(crew: Crew) -> None:
    order, _ = diagnosing(crew)
    before = suspects_of(order.session)
    assert not any(one.why for one in before)
    read_flags(crew.technician, order, "C0045")
    take_reading(crew.technician, order, "OL")
    first = suspects_of(order.session)[0]
    assert (first.component.key, first.position) == ("hub_and_sensor", "LR")
    assert first.why[0] == "flag C0045 points at it"
    assert "outside its limits" in first.why[1]
    assert len(suspects_of(order.session)) == len(before)


def test_a_conclusion_without_evidence_is_asked_about_and_then_marked_everywhere(
    crew: Crew,
) -> None:
    order, complaint = diagnosing(crew)
    finding = Finding(
        component=the_hub(order), position="LR", failure_mode=the_hub(order).failure_modes.first()
    )
    with refused(field="without_evidence"):
        conclusions.conclude(crew.technician, complaint, act=uuid4(), finding=finding)
    conclusions.conclude(
        crew.technician, complaint, act=uuid4(), finding=finding, without_evidence=True
    )
    pages = [
        client_of(crew.manager).get(reverse(name, args=["quay-street", order.number]))
        for name in ("order", "story")
    ]
    assert all("without evidence" in text_of(page) for page in pages)


def test_a_second_tablet_that_concludes_what_was_concluded_meanwhile_is_told(crew: Crew) -> None:
    _, complaint = diagnosing(crew)
    conclude_the_hub(crew.technician, complaint)
    stale = Complaint.objects.select_related("order").get(pk=complaint.pk)
    none_found = Finding(no_fault_found=True)
    with pytest.raises(Clash):
        conclusions.conclude(
            crew.manager, stale, act=uuid4(), finding=none_found, without_evidence=True
        )
    conclusions.conclude(
        crew.manager,
        stale,
        act=uuid4(),
        finding=none_found,
        without_evidence=True,
        replaces=stale.conclusion_id,
    )
    stale.refresh_from_db()
    assert stale.conclusion is not None
    assert stale.conclusion.no_fault_found
    assert stale.conclusion.replaces_id == complaint.conclusion_id


def test_the_page_keeps_what_was_chosen_and_ticked_when_something_is_missing(crew: Crew) -> None:
    order, complaint = diagnosing(crew)
    read_flags(crew.technician, order, "C0045")
    take_reading(crew.technician, order, "OL")
    browser = client_of(crew.technician)
    address = reverse("conclude", args=["quay-street", order.number, 1])
    reading = order.session.readings.get()
    unit = f"{the_hub(order).pk}:LR"
    typed = {
        "act": uuid4(),
        "seen": "",
        "unit": "",
        "failure_mode": "",
        "words": "Opens when the harness is moved",
        "evidence": [f"reading:{reading.pk}"],
    }
    told = browser.post(address, typed)
    assert told.status_code == 200
    assert "Opens when the harness is moved" in text_of(told)
    assert f'value="reading:{reading.pk}" checked' in text_of(told)
    assert "Choose the assembly at fault" in text_of(told)
    typed["unit"] = unit
    typed["failure_mode"] = str(the_hub(order).failure_modes.all()[0].pk)
    assert browser.post(address, typed).status_code == 303
    complaint.refresh_from_db()
    assert complaint.conclusion is not None
    assert complaint.conclusion.evidenced
    assert browser.post(address, typed).status_code == 303, "sent twice, concluded once"
    assert order.session.conclusions.count() == 1


def test_choosing_a_unit_asks_how_that_unit_fails(crew: Crew) -> None:
    order, _ = diagnosing(crew)
    address = reverse("conclude", args=["quay-street", order.number, 1])
    hub = the_hub(order)
    page = client_of(crew.technician).get(address, {"unit": f"{hub.pk}:LR"})
    assert all(str(mode) in text_of(page) for mode in hub.failure_modes.all())


def test_it_refuses_an_empty_correction_and_keeps_a_written_one(crew: Crew) -> None:
    order, complaint = diagnosing(crew)
    with refused(field="text"):
        complaints.correct(crew.technician, complaint, act=uuid4(), text=" ")
    complaints.correct(crew.technician, complaint, act=uuid4(), text="Connector dried, clip new")
    page = client_of(crew.manager).get(reverse("order", args=["quay-street", order.number]))
    assert "Connector dried, clip new" in text_of(page)


def test_it_refuses_another_complaint_once_the_estimate_is_out_and_takes_it_before(
    crew: Crew,
) -> None:
    order, _ = diagnosing(crew)
    complaints.add(crew.manager, order, act=uuid4(), words="It also squeals")
    assert [line.line for line in order.complaints.all()] == [1, 2]
    bring_on = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_AUTHORITY, bring_on, crew)
    with refused(says="Send it back to diagnosis"):
        complaints.add(crew.manager, bring_on, act=uuid4(), words="It also squeals")
    go(crew.technician, bring_on, Move.DIAGNOSE_AGAIN, reason="Another complaint")
    complaints.add(crew.manager, bring_on, act=uuid4(), words="It also squeals")
