"""The access table over every address and every role."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import get_resolver, reverse
from pytest_django.fixtures import Settings

from shop.actor import Actor
from shop.checks import every_view_is_marked, walk
from shop.models import Workshop
from shop.roles import Denied, Permit, Role, decide
from tests.asserts import text_of
from tests.cast import client_of, person
from tests.house.addresses import ADDRESSES, OPEN, Address
from tests.house.world import one_of_each
from tests.jobs.along import Crew

MARKS: dict[str, str] = {
    entry.name: vars(entry.callback)["access"]
    for _path, entry in walk(get_resolver())
    if entry.name
}
_FIELDS = {"row": "number"}  # where a field is not called like the thing it takes
GUARDED = [address for address in ADDRESSES.values() if address.access != OPEN]


# Arguments that name no row of a workshop, so that any workshop answers to them.
NO_ROW = {"figure", "section", "month", "component", "component_kind", "accounts_table", "day"}
# A technician sees these of themselves; the things made here are somebody else's.
OWN_ONLY = {"hours-person", "clock-entry"}


@pytest.fixture
def crew(ines: Actor, bela: Actor, nuri: Actor) -> Crew:
    return Crew(ines, bela, nuri)


@pytest.fixture
def things(crew: Crew, tmp_path: Path, settings: Settings) -> dict[str, object]:
    settings.STATE_DIR = tmp_path
    return one_of_each(crew)


def _ask(client: Client, address: Address, things: dict[str, object], workshop: Workshop) -> Any:
    given = [things[name] for name in address.args]
    slug = [] if address.access == OPEN else [workshop.slug]
    url = reverse(address.name, args=[*slug, *given])
    sent: dict[str, Any] = {
        "number" if name == "row" else name: things[name] for name in address.sent
    }
    return client.post(url, sent | {"act": uuid4()}) if address.post else client.get(url, sent)


def test_every_address_has_a_name_and_stands_in_the_table() -> None:
    unnamed = [path for path, entry in walk(get_resolver()) if not entry.name]
    assert not unnamed
    assert set(MARKS) == set(ADDRESSES)


def test_every_view_carries_the_mark_that_the_table_says() -> None:
    assert every_view_is_marked(None) == []
    told = {name: OPEN if mark.startswith("open: ") else mark for name, mark in MARKS.items()}
    assert told == {name: str(address.access) for name, address in ADDRESSES.items()}


def test_nobody_is_let_in_without_signing_in(
    things: dict[str, object], quay_street: Workshop, client: Client
) -> None:
    for address in GUARDED:
        answer = _ask(client, address, things, quay_street)
        assert answer.status_code == 302, address
        assert answer.headers["Location"].startswith(reverse("sign-in")), address


def test_a_stranger_finds_nothing_here(
    things: dict[str, object], quay_street: Workshop, pim: Actor
) -> None:
    browser = client_of(pim)
    for address in GUARDED:
        assert _ask(browser, address, things, quay_street).status_code == 404, address


def test_a_stranger_finds_nothing_of_ours_at_home_either(
    things: dict[str, object], millrace: Workshop
) -> None:
    """Every role in the other workshop, and our ids under its own address."""
    browser = client_of(person(millrace, "Ona E.", *Role))
    with_ids = [address for address in GUARDED if address.args and not set(address.args) & NO_ROW]
    for address in with_ids:
        assert _ask(browser, address, things, millrace).status_code == 404, address


@pytest.mark.parametrize("role", list(Role))
def test_a_role_is_let_in_or_told_who_is(
    role: Role, things: dict[str, object], quay_street: Workshop
) -> None:
    """Allowed: an answer that is neither a refusal of access nor an error. Not allowed: 403."""
    browser = client_of(person(quay_street, f"{role.value} X.", role))
    wrong = {
        address.name: sentence
        for address in GUARDED
        if (sentence := _wrong(_ask(browser, address, things, quay_street), address, role))
    }
    assert not wrong


def _wrong(answer: HttpResponse, address: Address, role: Role) -> str:
    decided = decide(frozenset({role}), Permit(address.access))
    if isinstance(decided, Denied):
        told = answer.status_code == 403 and decided.reason in text_of(answer)
        return "" if told else f"{answer.status_code} where 403 with its sentence belongs"
    if role is Role.TECHNICIAN and address.name in OWN_ONLY:
        told = answer.status_code == 403 and "your own" in text_of(answer)
        return "" if told else f"{answer.status_code} where somebody else’s hours are not shown"
    return "" if answer.status_code in {200, 302, 303, 409} else f"{answer.status_code}"
