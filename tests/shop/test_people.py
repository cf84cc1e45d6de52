"""Who works here and as what: services and pages."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import LogEntry, Membership, User, Workshop
from shop.queries.people import people_of, roles_of
from shop.roles import Role
from shop.services import people
from tests.asserts import counted, refused, text_of
from tests.cast import PASSWORD, client_of, person


def _add(vera: Actor, **changes: object) -> User:
    given: dict[str, object] = {
        "act": uuid4(),
        "username": "marek",
        "display_name": "Marek O.",
        "password": "kerb-and-key-7",
        "roles": [Role.TECHNICIAN],
    }
    return people.add_person(vera, **{**given, **changes})  # type: ignore[arg-type]


def test_a_new_person_signs_in_and_lands_in_the_bay(vera: Actor, client: object) -> None:
    marek = _add(vera)
    browser = client_of(Actor(marek, vera.workshop, frozenset({Role.TECHNICIAN})))
    response = browser.get("/")
    assert response.headers["Location"] == reverse("bay", args=[vera.workshop.slug])
    assert LogEntry.objects.filter(kind="people", words__contains="Marek O.").count() == 1


def test_the_same_act_sent_twice_adds_one_person(vera: Actor) -> None:
    act = uuid4()
    _add(vera, act=act)
    with pytest.raises(AlreadyDone):
        _add(vera, act=act)
    assert User.objects.filter(username="marek").count() == 1


def test_it_refuses_a_sign_in_name_that_is_taken_and_takes_another(
    vera: Actor, ines: Actor
) -> None:
    with refused(field="username", says="already"):
        _add(vera, username="INES")
    assert _add(vera, username="ines2").username == "ines2"


def test_it_refuses_a_weak_password_and_takes_a_good_one(vera: Actor) -> None:
    with refused(field="password", says="too short"):
        _add(vera, password="x1")
    assert _add(vera).check_password("kerb-and-key-7")


def test_it_refuses_nobody_in_particular_and_takes_a_role(vera: Actor) -> None:
    with refused(field="roles", says="at least one role"):
        _add(vera, roles=[])
    assert roles_of(vera, _add(vera)) == {Role.TECHNICIAN}


def _change(vera: Actor, who: User, roles: set[Role], *, may_sign_in: bool = True) -> None:
    people.change_person(
        vera,
        who,
        act=uuid4(),
        display_name=who.display_name,
        roles=roles,
        may_sign_in=may_sign_in,
    )


def test_it_refuses_to_leave_the_workshop_without_an_owner(vera: Actor, bela: Actor) -> None:
    with refused(field="roles", says="only owner"):
        _change(vera, vera.user, {Role.MANAGER})
    with refused(field="roles", says="only owner"):
        _change(vera, vera.user, {Role.OWNER}, may_sign_in=False)
    _change(vera, bela.user, {Role.MANAGER, Role.OWNER})
    _change(vera, vera.user, {Role.MANAGER})
    assert roles_of(bela, vera.user) == {Role.MANAGER}


def test_somebody_who_left_may_not_sign_in_and_keeps_their_name_on_the_log(
    vera: Actor, ines: Actor
) -> None:
    _change(vera, ines.user, {Role.TECHNICIAN}, may_sign_in=False)
    ines.user.refresh_from_db()
    assert not ines.user.is_active
    assert Membership.objects.filter(user=ines.user).exists()


def test_changing_roles_touches_no_other_workshop(vera: Actor, pim: Actor) -> None:
    Membership.objects.create(workshop=vera.workshop, user=pim.user, role=Role.COUNTER)
    _change(vera, pim.user, {Role.TECHNICIAN})
    assert roles_of(vera, pim.user) == {Role.TECHNICIAN}
    assert roles_of(pim, pim.user) == {Role.MANAGER}


def test_the_page_keeps_what_was_typed_when_it_refuses(vera: Actor, ines: Actor) -> None:
    browser = client_of(vera)
    url = reverse("person-new", args=[vera.workshop.slug])
    typed = {
        "act": str(uuid4()),
        "display_name": "Marek O.",
        "username": "ines",
        "password": "kerb-and-key-7",
        "roles": ["technician"],
    }
    page = text_of(browser.post(url, typed))
    assert "Somebody signs in by this name already" in page
    assert 'value="Marek O."' in page
    assert 'value="kerb-and-key-7"' in page
    assert browser.post(url, typed | {"username": "marek"}).status_code == 303


def test_only_the_owner_manages_people(vera: Actor, bela: Actor) -> None:
    url = reverse("people", args=[vera.workshop.slug])
    refused_page = client_of(bela).get(url)
    assert refused_page.status_code == 403
    assert "owner" in text_of(refused_page)
    assert client_of(vera).get(url).status_code == 200


def test_a_new_password_works_and_the_old_one_does_not(vera: Actor, ines: Actor) -> None:
    url = reverse("person-password", args=[vera.workshop.slug, ines.user.pk])
    assert client_of(vera).post(url, {"act": uuid4(), "password": "12"}).status_code == 200
    sent = client_of(vera).post(url, {"act": uuid4(), "password": "kerb-and-key-7"})
    assert sent.status_code == 303
    ines.user.refresh_from_db()
    assert ines.user.check_password("kerb-and-key-7")
    assert not ines.user.check_password(PASSWORD)


def test_the_list_costs_the_same_for_two_as_for_twenty(vera: Actor) -> None:
    browser, url = client_of(vera), reverse("people", args=[vera.workshop.slug])
    person(vera.workshop, "First A.", Role.TECHNICIAN)
    with counted() as few:
        browser.get(url)
    for number in range(20):
        person(vera.workshop, f"P{number} Q.", Role.TECHNICIAN, Role.MANAGER)
    with counted() as many:
        browser.get(url)
    assert len(few) == len(many)
    assert people_of(vera).count() == 22


def test_it_refuses_to_set_the_password_of_somebody_of_another_workshop_too_and_lets_its_owner(
    vera: Actor, tomas: Actor, millrace: Workshop
) -> None:
    Membership.objects.create(workshop=millrace, user=tomas.user, role=Role.MANAGER)
    with refused(field="password", says="another workshop"):
        people.set_password(vera, tomas.user, act=uuid4(), password="a-new-kerb-word")
    with refused(field="may_sign_in", says="another workshop"):
        people.change_person(
            vera,
            tomas.user,
            act=uuid4(),
            display_name="Tomas B.",
            roles=[Role.TECHNICIAN],
            may_sign_in=False,
        )
    Membership.objects.create(workshop=millrace, user=vera.user, role=Role.OWNER)
    people.set_password(vera, tomas.user, act=uuid4(), password="a-new-kerb-word")
    assert tomas.user.check_password("a-new-kerb-word")


def test_only_who_manages_people_adds_or_changes_them(vera: Actor, ines: Actor) -> None:
    marek = _add(vera)
    with refused(says="owner"):
        _add(ines, username="mate")
    with refused(says="owner"):
        _change(ines, ines.user, {Role.OWNER})
    with refused(says="owner"):
        people.set_password(ines, marek, act=uuid4(), password="a-new-kerb-word")
    _change(vera, marek, {Role.COUNTER})
    people.set_password(vera, marek, act=uuid4(), password="a-new-kerb-word")
    assert roles_of(vera, marek) == {Role.COUNTER}
