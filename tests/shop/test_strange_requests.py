"""Requests that no page of ours makes: each is answered, none falls over, none is believed."""

from __future__ import annotations

import logging
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from shop.actor import Actor
from shop.models import Act, Bay
from shop.views.errors import server_error
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_customer, a_repair_order, a_session, a_vehicle

DIGITS = "9" * 5000
FORM = "application/x-www-form-urlencoded"


def a_bay(act: UUID, name: str) -> dict[str, Any]:
    return {"act": str(act), "name": name}


def add_bay(actor: Actor, act: UUID, name: str) -> str:
    url = reverse("bay-new", args=[actor.workshop.slug])
    return text_of(client_of(actor).post(url, a_bay(act, name), follow=True))


def test_the_same_sending_twice_is_answered_as_done_and_done_once(vera: Actor) -> None:
    act = uuid4()
    for _ in range(2):
        assert "Nothing was recorded" not in add_bay(vera, act, "Alignment")
    assert Bay.objects.of(vera).filter(name="Alignment").count() == 1


def test_it_refuses_an_act_under_the_uuid_of_another_kind_and_takes_it_under_its_own(
    vera: Actor,
) -> None:
    act = uuid4()
    Act.objects.create(workshop=vera.workshop, act=act, kind="odometer", by=vera.user)
    assert "Nothing was recorded" in add_bay(vera, act, "Alignment")
    add_bay(vera, uuid4(), "Alignment")
    assert Bay.objects.of(vera).filter(name="Alignment").exists()


def test_it_refuses_an_act_under_the_uuid_of_somebody_else_and_takes_it_under_its_own(
    vera: Actor, bela: Actor
) -> None:
    act = uuid4()
    Act.objects.create(workshop=vera.workshop, act=act, kind="add bay", by=bela.user)
    assert "Nothing was recorded" in add_bay(vera, act, "Alignment")
    add_bay(vera, uuid4(), "Alignment")
    assert Bay.objects.of(vera).filter(name="Alignment").exists()


@pytest.mark.parametrize("path", ["orders/NUMBER%00/", "find/?q=7KD%00", "vehicles/?q=%00"])
def test_it_refuses_a_nul_in_an_address_and_answers_without_it(bela: Actor, path: str) -> None:
    path = path.replace("NUMBER", a_repair_order(bela).number)
    browser = client_of(bela)
    assert browser.get(f"/{bela.workshop.slug}/{path}").status_code == 400
    assert browser.get(f"/{bela.workshop.slug}/{path.replace('%00', '')}").status_code == 200


def test_it_refuses_a_nul_in_what_is_sent_and_takes_it_without(vera: Actor) -> None:
    url = reverse("bay-new", args=[vera.workshop.slug])
    browser = client_of(vera)
    assert browser.post(url, a_bay(uuid4(), "Align\x00ment")).status_code == 400
    assert browser.post(url, a_bay(uuid4(), "Alignment")).status_code == 303


def test_very_many_digits_where_a_number_is_looked_for_ask_for_nothing(bela: Actor) -> None:
    session = a_session(bela)
    browser = client_of(bela)
    page = reverse("session", args=[bela.workshop.slug, session.pk])
    flags = reverse("flags", args=[bela.workshop.slug, session.pk])
    take_in = reverse("take-in-known", args=[bela.workshop.slug, session.vehicle_id])
    assert browser.get(page, {"step": DIGITS}).status_code == 200
    assert browser.get(flags, {"rows": DIGITS}).status_code == 200
    sent = f"act={uuid4()}&code-{DIGITS}=C0035"
    assert browser.post(flags, sent, FORM).status_code == 200
    assert browser.post(take_in, {"do": f"off-{DIGITS}"}).status_code == 200


@pytest.mark.parametrize("typed", ["9" * 20, DIGITS])
def test_an_assembly_with_a_number_beyond_the_database_is_none_of_ours(
    nuri: Actor, typed: str
) -> None:
    url = reverse("part-receive", args=[nuri.workshop.slug])
    sent = {"act": str(uuid4()), "replacements": [typed]}
    assert client_of(nuri).post(url, sent).status_code == 303


@pytest.mark.parametrize("month", ["9999-12", "0001-01"])
def test_a_month_at_an_end_of_the_calendar_is_not_there(vera: Actor, month: str) -> None:
    browser = client_of(vera)
    assert browser.get(f"/{vera.workshop.slug}/office/jobs/released/{month}/").status_code == 404
    assert browser.get(f"/{vera.workshop.slug}/office/jobs/released/2026-05/").status_code == 200


@pytest.mark.parametrize("year", ["0001", "9999"])
def test_it_refuses_a_promise_years_away_and_takes_one_or_none(bela: Actor, year: str) -> None:
    order = a_repair_order(bela)
    url = reverse("order-assign", args=[bela.workshop.slug, order.number])
    sent = {"act": str(uuid4()), "revision": order.revision, "promised_at": f"{year}-12-31T23:59"}
    assert "Check the year" in text_of(client_of(bela).post(url, sent))
    assert client_of(bela).post(url, sent | {"promised_at": ""}).status_code == 303


@pytest.mark.parametrize("asked", ["foo", "home", "//elsewhere.example", "javascript:x"])
def test_the_theme_leads_to_no_word_that_is_no_path(client: Client, asked: str) -> None:
    back = client.post(reverse("theme"), {"theme": "dark", "next": asked})
    assert back.headers["Location"] == "/"
    there = client.post(reverse("theme"), {"theme": "dark", "next": "/sign-in/"})
    assert there.headers["Location"] == "/sign-in/"


def test_a_page_of_the_workshop_is_kept_in_no_cache(bela: Actor) -> None:
    page = client_of(bela).get(reverse("desk", args=[bela.workshop.slug]))
    assert page.headers["Cache-Control"] == "private, no-store"


def test_an_address_with_a_new_line_writes_one_line_into_the_log(
    caplog: pytest.LogCaptureFixture,
) -> None:
    with caplog.at_level(logging.ERROR, logger="stubaxle.errors"):
        server_error(RequestFactory().get("/quay-street/%0Aa line of its own"))
    assert len(caplog.records[-1].getMessage().splitlines()) == 1


def test_it_refuses_a_plate_that_capitals_make_too_long_and_takes_a_shorter(bela: Actor) -> None:
    with refused(field="plate", says="16"):
        a_vehicle(bela, plate="ß" * 16)
    assert a_vehicle(bela, plate="ß" * 8).plate == "S" * 16


def test_a_name_whose_letters_come_apart_is_kept_whole_and_found(bela: Actor) -> None:
    assert len(a_customer(bela, name="ß" * 120).name_key) == 120
