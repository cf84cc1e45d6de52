"""Signing in, going home, the theme, a sign of life."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shop.actor import Actor
from shop.models import Membership, User, Workshop
from tests.asserts import text_of
from tests.cast import PASSWORD, client_of


@pytest.mark.parametrize(
    ("who", "place"), [("ines", "bay"), ("bela", "desk"), ("nuri", "counter"), ("vera", "office")]
)
def test_each_role_lands_on_its_own_page(
    who: str, place: str, request: pytest.FixtureRequest, client: Client
) -> None:
    actor: Actor = request.getfixturevalue(who)
    typed = {"username": actor.user.username, "password": PASSWORD}
    landed = client.post(reverse("sign-in"), typed, follow=True)
    assert landed.status_code == 200
    assert landed.request["PATH_INFO"] == reverse(place, args=[actor.workshop.slug])


def test_who_works_in_several_workshops_lands_in_the_one_joined_first(vera: Actor) -> None:
    """Whatever they are called."""
    other = Workshop.objects.create(name="Aal Street", slug="aal-street", order_prefix="A")
    Membership.objects.create(workshop=other, user=vera.user, role="manager")
    landed = client_of(vera).get("/", follow=True)
    assert landed.request["PATH_INFO"] == reverse("office", args=[vera.workshop.slug])


def test_a_wrong_password_keeps_the_name_and_the_right_one_works(
    ines: Actor, client: Client
) -> None:
    page = client.post(reverse("sign-in"), {"username": "ines", "password": "wrong"})
    assert "do not belong together" in text_of(page)
    assert 'value="ines"' in text_of(page)
    right = client.post(reverse("sign-in"), {"username": "ines", "password": PASSWORD})
    assert right.status_code == 302


def test_somebody_without_a_workshop_is_told_what_to_do(db: None, client: Client) -> None:
    client.force_login(User.objects.create_user("lost", "Lost L.", PASSWORD))
    page = client.get("/")
    assert page.status_code == 403
    assert "Somebody who owns one can add you" in text_of(page)


def test_signing_out_asks_for_a_post(ines: Actor) -> None:
    browser = client_of(ines)
    assert browser.get(reverse("sign-out")).status_code == 405
    assert browser.post(reverse("sign-out")).status_code == 302
    assert browser.get("/").headers["Location"] == reverse("sign-in")


def test_a_part_asked_for_by_htmx_while_signed_out_changes_nothing_on_the_page(
    ines: Actor, client: Client
) -> None:
    url = reverse("bay", args=[ines.workshop.slug])
    part = client.get(url, headers={"HX-Request": "true"})
    assert part.status_code == 401
    assert client.get(url).headers["Location"] == f"{reverse('sign-in')}?next={url}"


def test_the_theme_is_kept_and_leads_back_to_our_own_pages_only(client: Client, db: None) -> None:
    back = client.post(reverse("theme"), {"theme": "dark", "next": "https://elsewhere.example/"})
    assert back.headers["Location"] == "/"
    assert back.cookies["theme"].value == "dark"
    assert 'data-theme="dark"' in client.get(reverse("sign-in")).content.decode()
    client.post(reverse("theme"), {"theme": "plaid"})
    assert "data-theme" not in client.get(reverse("sign-in")).content.decode()


def test_it_gives_a_sign_of_life(client: Client) -> None:
    answer = client.get(reverse("alive"))
    assert answer.content == b"alive\n"
    assert "X-Signed-In" not in answer.headers


def test_the_sign_of_life_says_whether_who_asks_is_signed_in(ines: Actor) -> None:
    assert client_of(ines).get(reverse("alive")).headers["X-Signed-In"] == "yes"


def test_passwords_cannot_be_tried_out_and_another_machine_still_signs_in(
    ines: Actor, client: Client
) -> None:
    for guess in range(10):
        page = client.post(reverse("sign-in"), {"username": "ines", "password": f"guess-{guess}"})
    assert page.status_code == 429
    assert "Too many wrong passwords" in text_of(page)
    typed = {"username": "ines", "password": PASSWORD}
    assert client.post(reverse("sign-in"), typed).status_code == 429
    elsewhere = Client(REMOTE_ADDR="192.0.2.7")
    assert elsewhere.post(reverse("sign-in"), typed).status_code == 302
