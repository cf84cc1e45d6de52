"""The Bay: what do I do next, on which car."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse

from diagnostics.services import flags, lamps
from diagnostics.services.flags import FlagInput
from diagnostics.telltales import Lamp, Observation, Shown, Situation
from jobs.models import RepairOrder
from jobs.queries.bay import bay_of
from jobs.services.moves import move
from jobs.stages import Move
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order

AMBER = Observation(Lamp.AMBER_ANTILOCK, Situation.ENGINE_RUNNING, Shown.STEADY)


def begun(actor: Actor, order: RepairOrder) -> RepairOrder:
    order.refresh_from_db()
    move(actor, order, Move.BEGIN, act=uuid4(), revision=order.revision)
    return order


def page(actor: Actor) -> str:
    response = client_of(actor).get(reverse("bay", args=[actor.workshop.slug]))
    assert response.status_code == 200
    return text_of(response)


def test_my_jobs_come_first_then_nobodys_then_the_others_that_wait_for_the_bay(
    bela: Actor, ines: Actor, tomas: Actor
) -> None:
    mine = a_repair_order(bela, technician=ines)
    nobodys = a_repair_order(bela)
    others = begun(tomas, a_repair_order(bela, technician=tomas))
    bay = bay_of(ines)
    assert [card.order for card in bay.mine] == [mine]
    assert [card.order for card in bay.nobodys] == [nobodys]
    assert [card.order for card in bay.others] == [others]


def test_a_card_shows_the_words_the_lamps_and_the_codes(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(
        bela, technician=ines, complaints=[a_complaint_line(words="Yellow light on")]
    )
    lamps.record(ines, order.session, act=uuid4(), observations=[AMBER])
    flags.record_read(
        ines, order.session, act=uuid4(), module="brake control", flags=[FlagInput("C0045")]
    )
    (card,) = bay_of(ines).mine
    assert (card.words, card.codes) == ("Yellow light on", ("C0045",))
    assert [(one.lamp, one.shown) for one in card.lamps] == [("amber_antilock", "steady")]
    said = page(ines)
    assert "Yellow light on" in said
    assert "C0045" in said


def test_one_tap_leads_into_the_checklist_once_the_diagnosis_has_begun(
    bela: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela, technician=ines)
    (card,) = bay_of(ines).mine
    assert card.url == reverse("order", args=["quay-street", order.number])
    begun(ines, order)
    (card,) = bay_of(ines).mine
    assert card.url == reverse("session", args=["quay-street", order.session_id])


def test_only_one_card_is_the_next_thing(bela: Actor, ines: Actor) -> None:
    for _ in range(3):
        a_repair_order(bela, technician=ines)
    assert page(ines).count("job--now") == 1


def test_a_closed_job_is_gone_from_the_bay(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(bela, technician=ines)
    order.refresh_from_db()
    move(bela, order, Move.VOID, act=uuid4(), revision=order.revision, reason="Opened twice")
    assert bay_of(ines).mine == ()


def test_an_empty_bay_says_what_to_do(ines: Actor, bela: Actor) -> None:
    assert "When the Desk gives you one it stands here" in page(ines)
    a_repair_order(bela)
    assert "Take one of those below" in page(ines)


def test_a_stranger_sees_none_of_it(bela: Actor, ines: Actor, pim: Actor) -> None:
    order = a_repair_order(bela, technician=ines)
    assert order.number not in page(pim)
    other = reverse("bay", args=[ines.workshop.slug])
    assert client_of(pim).get(other).status_code == 404


def test_the_bay_costs_the_same_queries_for_two_jobs_as_for_twelve(
    bela: Actor, ines: Actor
) -> None:
    for _ in range(2):
        begun(ines, a_repair_order(bela, technician=ines))
    with counted() as few:
        page(ines)
    for _ in range(10):
        begun(ines, a_repair_order(bela, technician=ines))
    with counted() as many:
        page(ines)
    assert len(few) == len(many)
