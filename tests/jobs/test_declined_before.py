"""What was declined is kept, shown at the next visit and taken up with one touch."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import Estimate, RepairOrder
from jobs.queries.declined import declined_before
from jobs.services.declined_again import take_up
from jobs.stages import Move, Stage
from shop.actor import Actor
from shop.money import format_amount
from tests.asserts import counted, refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, go


@pytest.fixture
def declined(crew: Crew) -> RepairOrder:
    """A job whose repair was declined; the vehicle has left."""
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DECLINED, order, crew)
    go(crew.manager, order, Move.LEAVE_UNREPAIRED, "Fetched on a trailer")
    return order


@pytest.fixture
def today(crew: Crew, declined: RepairOrder) -> RepairOrder:
    return a_repair_order(crew.manager, vehicle=declined.vehicle, technician=crew.technician)


def test_words_amount_and_day_are_shown_and_one_touch_puts_it_on(
    crew: Crew, declined: RepairOrder, today: RepairOrder
) -> None:
    complaint = declined.complaints.get()
    complaint.words = "Grinding from the rear"
    complaint.save()
    (before,) = declined_before(crew.manager, today.vehicle, today)
    given = Estimate.objects.get(order=declined)
    assert (before.words, before.amount) == ("Grinding from the rear", given.total)
    assert "PL2-20-214" in before.lines[0]
    page = text_of(
        client_of(crew.manager).get(reverse("order", args=[today.workshop.slug, today.number]))
    )
    assert f"{format_amount(given.total, '$')} before tax" in page
    to = reverse(
        "declined-again", args=[today.workshop.slug, today.number, declined.number, complaint.line]
    )
    client_of(crew.manager).post(to, {"act": uuid4()})
    taken = today.complaints.order_by("line").last()
    assert taken is not None
    assert (taken.words, taken.again_id) == ("Grinding from the rear", complaint.pk)
    assert declined_before(crew.manager, today.vehicle, today) == ()
    with refused(says="taken up already"):
        take_up(crew.manager, act=uuid4(), order=today, declined=complaint)


def test_at_take_in_it_is_laid_out_as_a_line(crew: Crew, declined: RepairOrder) -> None:
    complaint = declined.complaints.get()
    client = client_of(crew.manager)
    to = reverse("take-in-known", args=[declined.workshop.slug, declined.vehicle_id])
    assert "Take it up now" in text_of(client.get(to))
    sent = {
        "line-TOTAL_FORMS": "1",
        "line-INITIAL_FORMS": "0",
        "line-0-words": "",
        "do": f"again-{complaint.pk}",
    }
    page = text_of(client.post(to, sent))
    assert f"{complaint.words}</textarea>" in page


def test_the_same_words_written_down_by_hand_are_taken_up_too(
    crew: Crew, today: RepairOrder
) -> None:
    """The factory's jobs carry the same words, as a customer's second visit does."""
    assert declined_before(crew.manager, today.vehicle, today) == ()


def test_a_stranger_sees_nothing_and_the_count_of_queries_is_constant(
    crew: Crew, declined: RepairOrder, pim: Actor
) -> None:
    assert declined_before(pim, declined.vehicle) == ()
    with counted() as queries:
        assert len(declined_before(crew.manager, declined.vehicle)) == 1
    assert len(queries) <= 4
