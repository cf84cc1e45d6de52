"""The fitting sheet in the browser: cautions, then labels."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import RepairOrder, Replacement
from jobs.stages import Stage
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    found = a_repair_order(crew.manager, technician=crew.technician)
    return bring_to(Stage.REPAIRING, found, crew)


def url(order: RepairOrder, name: str = "fitting", *args: object) -> str:
    return reverse(name, args=[order.workshop.slug, order.number, *args])


def post(actor: Actor, to: str, **data: Any) -> str:
    answer = client_of(actor).post(to, {"act": uuid4(), **data}, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    return text_of(answer)


def test_the_labels_are_asked_for_only_after_the_cautions_were_read(
    crew: Crew, order: RepairOrder
) -> None:
    page = text_of(client_of(crew.technician).get(url(order)))
    assert "Treat it as harmful" in page
    assert "Serial number of the unit put on" not in page
    answer = post(crew.technician, url(order, "fitting-cautions"))
    assert "Serial number of the unit put on" in answer
    assert 'data-enter="next"' in answer


def test_it_asks_for_the_new_number_or_for_the_word_that_there_is_none(
    crew: Crew, order: RepairOrder
) -> None:
    post(crew.technician, url(order, "fitting-cautions"))
    row = Replacement.objects.get(complaint__order=order)
    to = url(order, "fit", row.pk)
    typed = {"serial_off": "HS20-1", "part_number_on": row.part_number}
    answer = post(crew.technician, to, **typed)
    assert "Scan or type the number, or tick that the unit carries none." in answer
    assert 'value="HS20-1"' in answer
    answer = post(crew.technician, to, **typed, serial_on="HS24-2", batch_on="ba24-3")
    assert "HS24-2" in answer
    assert "BA24-3" in answer
    row.refresh_from_db()
    assert row.unit_on is not None
    assert row.unit_on.batch == "BA24-3"
    assert row.state == Replacement.State.FITTED
    assert "Repaired: begin proving" in answer


def test_a_unit_without_a_number_is_fitted_by_a_tick(crew: Crew, order: RepairOrder) -> None:
    post(crew.technician, url(order, "fitting-cautions"))
    row = Replacement.objects.get(complaint__order=order)
    post(
        crew.technician,
        url(order, "fit", row.pk),
        no_serial="on",
        part_number_on=row.part_number,
    )
    row.refresh_from_db()
    assert row.state == Replacement.State.FITTED


def test_the_manager_sees_the_sheet_but_is_asked_for_nothing(
    crew: Crew, order: RepairOrder, pim: Actor
) -> None:
    page = text_of(client_of(crew.manager).get(url(order)))
    assert "I have read them" not in page
    assert "Rear hub-and-sensor assembly, left rear" in page
    assert client_of(pim).get(url(order)).status_code == 404


def test_another_jobs_assembly_is_not_fitted_here(crew: Crew, order: RepairOrder) -> None:
    other = bring_to(
        Stage.REPAIRING, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    row = Replacement.objects.get(complaint__order=other)
    client = client_of(crew.technician)
    assert client.post(url(order, "fit", row.pk), {"act": uuid4()}).status_code == 404
    assert client.post(url(other, "fit", row.pk), {"act": uuid4()}).status_code == 200
