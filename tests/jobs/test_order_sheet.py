"""The job's own page: what next, the acts on it, and two tablets at once."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import RepairOrder
from jobs.services import unsafe
from jobs.stages import Move, Stage
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, go, prove, the_hub

HTMX = {"HX-Request": "true", "HX-Target": "sheet"}
SHEETS = ("order", "proving", "story")


def at(name: str, order: RepairOrder, *more: object) -> str:
    return reverse(name, args=["quay-street", order.number, *more])


def a_move(order: RepairOrder, move: Move, **more: Any) -> dict[str, Any]:
    return {"act": uuid4(), "move": move, "revision": order.revision} | more


def test_the_page_leads_with_the_customers_words_and_one_next_action(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    page = client_of(crew.technician).get(at("order", order)).content.decode()
    assert page.index("Yellow light came on") < page.index("Begin diagnosis")
    sheet = page[page.index('id="sheet"') :]
    assert sheet.count("button--next") == 1
    assert "Void this order" not in page, "the technician is not offered the manager's moves"


@pytest.mark.parametrize("name", SHEETS)
def test_a_stranger_gets_404_and_the_own_people_the_sheet(
    crew: Crew, pim: Actor, vera: Actor, name: str
) -> None:
    order = a_repair_order(crew.manager)
    assert client_of(pim).get(at(name, order)).status_code == 404
    theirs = at(name, order).replace("quay-street", "millrace")
    assert client_of(pim).get(theirs).status_code == 404
    for actor in (crew.technician, crew.manager, crew.counter, vera):
        assert client_of(actor).get(at(name, order)).status_code == 200


def test_a_move_answers_htmx_with_the_sheet_and_a_plain_form_with_a_redirect(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    browser = client_of(crew.technician)
    answer = browser.post(at("order-move", order), a_move(order, Move.BEGIN), headers=HTMX)
    assert answer.status_code == 200
    assert answer.content.decode().lstrip().startswith('<div class="sheet" id="sheet">')
    assert "Go on with the checklist" in text_of(answer)
    order.refresh_from_db()
    void = a_move(order, Move.VOID, reason="Opened twice")
    plain = client_of(crew.manager).post(at("order-move", order), void)
    assert (plain.status_code, plain["Location"]) == (303, at("order", order))


def test_a_second_tablet_is_told_and_its_page_shows_where_the_job_stands(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    stale = a_move(order, Move.BEGIN)
    go(crew.technician, order, Move.BEGIN)
    told = client_of(crew.manager).post(at("order-move", order), stale, headers=HTMX)
    assert told.status_code == 200
    page = text_of(told)
    assert "The job is diagnosing now" in page
    assert "Go on with the checklist" in page
    order.refresh_from_db()
    fresh = a_move(order, Move.VOID, reason="Opened twice")
    assert client_of(crew.manager).post(at("order-move", order), fresh).status_code == 303


def test_a_move_sent_twice_is_made_once(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    sent = a_move(order, Move.BEGIN)
    browser = client_of(crew.technician)
    assert browser.post(at("order-move", order), sent).status_code == 303
    assert browser.post(at("order-move", order), sent).status_code == 303
    assert order.moves.count() == 1


def test_a_move_that_needs_a_reason_keeps_its_fold_open_and_says_so(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    browser = client_of(crew.manager)
    told = browser.post(at("order-move", order), a_move(order, Move.VOID, reason=" "))
    page = told.content.decode()
    assert '<details class="fold" id="void" open>' in page
    assert "Say why in a few words" in page
    done = browser.post(at("order-move", order), a_move(order, Move.VOID, reason="Opened twice"))
    assert done.status_code == 303


def test_a_move_that_cannot_be_made_yet_says_what_stops_it_instead_of_a_button(crew: Crew) -> None:
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.DIAGNOSING, order, crew)
    page = text_of(client_of(crew.technician).get(at("order", order)))
    assert "1 of 1 complaint still has no conclusion." in page


@pytest.mark.parametrize("move", [Move.RELEASE, Move.AUTHORISE, "drive off"])
def test_moves_with_a_page_of_their_own_are_not_made_from_here(crew: Crew, move: str) -> None:
    order = bring_to(Stage.READY, a_repair_order(crew.manager, technician=crew.technician), crew)
    sent = {"act": uuid4(), "move": move, "revision": order.revision}
    assert client_of(crew.manager).post(at("order-move", order), sent).status_code == 200
    order.refresh_from_db()
    assert Stage(order.stage) is Stage.READY
    leave = {"act": uuid4(), "revision": order.revision}
    assert client_of(crew.manager).post(at("release", order), leave).status_code == 303


def test_the_proving_sheet_leads_to_where_each_missing_thing_is_entered(crew: Crew) -> None:
    order = bring_to(Stage.PROVING, a_repair_order(crew.manager, technician=crew.technician), crew)
    page = client_of(crew.technician).get(at("proving", order)).content.decode()
    session = order.session_id
    readings = reverse("readings", args=["quay-street", session])
    for address in (
        "#road-test",
        reverse("lamps", args=["quay-street", session]),
        reverse("flags", args=["quay-street", session]),
        f"{readings}?quantity=sensor_resistance&amp;component={the_hub(order).pk}&amp;position=LR",
        f"{at('correction', order, 1)}?back=proving",
    ):
        assert f'href="{address}"' in page, address
    prove(crew, order)
    assert "Proved: ready for release" in text_of(
        client_of(crew.technician).get(at("proving", order))
    )


def test_a_road_test_that_is_no_number_is_refused_beside_its_field_with_all_typed_kept(
    crew: Crew,
) -> None:
    order = bring_to(Stage.PROVING, a_repair_order(crew.manager, technician=crew.technician), crew)
    browser = client_of(crew.technician)
    typed = {
        "act": uuid4(),
        "distance": "a while",
        "distance_unit": "km",
        "top_speed": "70",
        "speed_unit": "km/h",
        "note": "Smooth",
    }
    told = browser.post(at("road-test", order), typed)
    assert told.status_code == 200
    assert all(kept in text_of(told) for kept in ("a while", "Smooth", 'value="70"'))
    assert "errorlist" in told.content.decode()
    less = browser.post(at("road-test", order), typed | {"distance": "8", "odometer": "500"})
    assert 'name="odometer_reason"' in less.content.decode(), "asks why it shows less than before"
    right = typed | {"distance": "8", "odometer": "84130"}
    assert browser.post(at("road-test", order), right).status_code == 303
    test = order.road_tests.get()
    assert test.distance_m == 8000
    assert test.odometer is not None


def test_the_manager_overrides_from_the_sheet_and_the_closed_order_keeps_saying_so(
    crew: Crew,
) -> None:
    order = bring_to(Stage.PROVING, a_repair_order(crew.manager, technician=crew.technician), crew)
    browser = client_of(crew.manager)
    sent = {"act": uuid4(), "revision": order.revision, "override": ""}
    told = browser.post(at("release", order), sent)
    assert "The repair is not proved yet" in text_of(told)
    forbidden = client_of(crew.technician).post(at("release", order), sent)
    assert forbidden.status_code == 403
    sent["override"] = "Goes on a trailer"
    assert browser.post(at("release", order), sent).status_code == 303
    for name in ("order", "proving", "story"):
        assert "Goes on a trailer" in text_of(browser.get(at(name, order)))


def test_the_story_tells_the_order_and_the_measuring_in_one_sequence(crew: Crew) -> None:
    order = bring_to(
        Stage.AWAITING_AUTHORITY, a_repair_order(crew.manager, technician=crew.technician), crew
    )
    unsafe.mark(crew.manager, order, act=uuid4(), because="Pedal sinks")
    page = text_of(client_of(crew.counter).get(at("story", order)))
    told = [
        "moved the job from received to diagnosing",
        "read the flags",
        "concluded complaint 1",
        "moved the job from diagnosing to awaiting authority",
        "marked the vehicle not to be driven",
    ]
    places = [page.index(sentence) for sentence in told]
    assert places == sorted(places)
    assert page.count("concluded complaint 1") == 1
