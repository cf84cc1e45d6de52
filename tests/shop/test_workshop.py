"""The workshop's settings, its bays, and the first page of an empty installation."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.fixtures import Settings

from shop import first_run
from shop.actor import Actor
from shop.models import Bay, LogEntry, Workshop
from shop.queries.people import actor_in
from shop.roles import Role
from shop.services import workshop as service
from tests.asserts import refused, text_of
from tests.cast import client_of

TYPED = {
    "name": "Quay Street",
    "address": "1 Quay Street",
    "phone": "555 0100",
    "distance_unit": "mi",
    "paper": "Letter",
    "currency": "$",
    "labour_rate": "104.50",
    "comeback_days": "60",
    "comeback_km": "4000",
}


def test_settings_are_kept_and_the_log_names_what_changed(vera: Actor) -> None:
    url = reverse("workshop", args=[vera.workshop.slug])
    assert client_of(vera).post(url, TYPED | {"act": uuid4()}).status_code == 303
    changed = Workshop.objects.get(pk=vera.workshop.pk)
    assert (changed.labour_rate, changed.paper) == (Decimal("104.50"), "Letter")
    line = LogEntry.objects.get(kind="workshop")
    assert "labour rate per hour" in line.words
    assert "telephone" not in line.words


def test_the_rule_for_brake_forces_is_one_of_those_known_and_none_at_first(vera: Actor) -> None:
    url = reverse("workshop", args=[vera.workshop.slug])
    assert vera.workshop.brake_rule == ""
    page = client_of(vera).get(url)
    assert "49 CFR 570" in text_of(page)
    page = client_of(vera).post(url, TYPED | {"act": uuid4(), "brake_rule": "moon"})
    assert "moon" in text_of(page)
    client_of(vera).post(url, TYPED | {"act": uuid4(), "brake_rule": "gb"})
    assert Workshop.objects.get(pk=vera.workshop.pk).brake_rule == "gb"
    assert "rule for brake forces" in LogEntry.objects.get(kind="workshop").words


def test_it_refuses_another_workshops_name_and_keeps_its_own(
    vera: Actor, millrace: Workshop
) -> None:
    url = reverse("workshop", args=[vera.workshop.slug])
    page = client_of(vera).post(url, TYPED | {"act": uuid4(), "name": "millrace"})
    assert "Another workshop here has this name." in text_of(page)
    assert client_of(vera).post(url, TYPED | {"act": uuid4()}).status_code == 303


def test_a_bay_is_added_once_and_taken_out_of_use(vera: Actor) -> None:
    bay = service.add_bay(vera, act=uuid4(), name="Bay 3")
    with refused(field="name", says="already"):
        service.add_bay(vera, act=uuid4(), name="bay 3")
    url = reverse("bay-use", args=[vera.workshop.slug, bay.pk])
    client_of(vera).post(url, {"act": uuid4()})
    assert not Bay.objects.get(pk=bay.pk).in_use
    client_of(vera).post(url, {"act": uuid4(), "in_use": "on"})
    assert Bay.objects.get(pk=bay.pk).in_use


def test_only_who_manages_the_workshop_adds_a_bay(vera: Actor, ines: Actor) -> None:
    with refused(says="owner"):
        service.add_bay(ines, act=uuid4(), name="Bay 3")
    bay = service.add_bay(vera, act=uuid4(), name="Bay 3")
    with refused(says="owner"):
        service.use_bay(ines, bay, act=uuid4(), in_use=False)
    assert Bay.objects.get(pk=bay.pk).in_use


FIRST = {
    "workshop": "Harbour Row",
    "order_prefix": "h",
    "bays": "3",
    "owner": "Wanda Z.",
    "username": "wanda",
    "password": "kerb-and-key-7",
}


@pytest.fixture
def token(tmp_path: Path, settings: Settings, db: None) -> str:
    settings.STATE_DIR = tmp_path
    return first_run.new_token()


def test_the_first_page_makes_the_workshop_and_its_owner_and_signs_them_in(
    token: str, client: Client, django_capture_on_commit_callbacks: object
) -> None:
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        sent = client.post(reverse("first-run", args=[token]), FIRST)
    assert sent.headers["Location"] == reverse("people", args=["harbour-row"])
    workshop = Workshop.objects.get()
    assert (workshop.order_prefix, Bay.objects.count()) == ("H", 3)
    page = client.get(sent.headers["Location"])
    actor = actor_in(page.wsgi_request.user, "harbour-row")  # type: ignore[arg-type]
    assert actor is not None
    assert actor.roles == {Role.OWNER, Role.MANAGER}
    assert not first_run.token_matches(token)
    assert client.get(reverse("first-run", args=[token])).status_code == 404


def test_the_first_page_opens_with_no_other_token(token: str, client: Client) -> None:
    assert client.get(reverse("first-run", args=["guess"])).status_code == 404
    assert client.get(reverse("first-run", args=[token])).status_code == 200


def test_a_long_name_of_the_workshop_gives_a_short_name_that_fits(
    token: str, client: Client
) -> None:
    long = "Chassis and Brake Works of the Upper Harbour and Its Quays"
    assert client.post(reverse("first-run", args=[token]), FIRST | {"workshop": long})
    workshop = Workshop.objects.get()
    assert workshop.name == long
    assert workshop.slug == "chassis-and-brake-works-of-the-upper-har"


def test_the_first_page_keeps_what_was_typed_when_it_refuses(token: str, client: Client) -> None:
    url = reverse("first-run", args=[token])
    page = text_of(client.post(url, FIRST | {"password": "short"}))
    assert "too short" in page
    assert 'value="Harbour Row"' in page
    page = text_of(client.post(url, FIRST | {"workshop": "Sign in"}))
    assert "cannot stand in an address" in page
    assert not Workshop.objects.exists()
    assert client.post(url, FIRST).status_code == 303


def test_the_comeback_distance_is_read_in_the_workshops_unit_and_does_not_drift(
    vera: Actor,
) -> None:
    url, web = reverse("workshop", args=[vera.workshop.slug]), client_of(vera)

    def send(distance: str) -> int:
        assert web.post(url, TYPED | {"act": uuid4(), "comeback_km": distance}).status_code == 303
        return Workshop.objects.get(pk=vera.workshop.pk).comeback_km

    assert "Comeback window, km" in text_of(web.get(url))
    assert send("4001") == 4001  # and from here on it reads in miles
    page = web.get(url)
    assert "Comeback window, miles" in text_of(page)
    assert 'value="2486"' in page.content.decode()
    assert send("2486") == 4001
    assert send("2000") == 3219
