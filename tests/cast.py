"""The people of the tests. Each fixture is an Actor: a person acting in a workshop.

Ines is a technician, Bela the service manager, Nuri stands at the parts counter and Vera owns
the place: all at Quay Street. Pim manages Millrace, next door, and must never see Quay Street.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from shop.actor import Actor
from shop.models import Bay, Membership, User, Workshop
from shop.roles import Role

PASSWORD = "a-long-kerb-word"


def person(workshop: Workshop, name: str, *roles: Role) -> Actor:
    """Somebody with these roles; the sign-in name is the first name in small letters."""
    user = User.objects.create_user(name.split()[0].lower(), name, PASSWORD)
    Membership.objects.bulk_create(
        Membership(workshop=workshop, user=user, role=role) for role in roles
    )
    return Actor(user, workshop, frozenset(roles))


def client_of(actor: Actor) -> Client:
    """A browser in which this person has signed in."""
    client = Client()
    client.force_login(actor.user)
    return client


@pytest.fixture
def quay_street(db: None) -> Workshop:
    """The workshop, with two bays."""
    workshop = Workshop.objects.create(
        name="Quay Street",
        slug="quay-street",
        order_prefix="Q",
        labour_rate=Decimal("90.00"),
        address="1 Quay Street",
        phone="555 0100",
    )
    Bay.objects.bulk_create(Bay(workshop=workshop, name=name) for name in ("Bay 1", "Bay 2"))
    return workshop


@pytest.fixture
def millrace(db: None) -> Workshop:
    """The other workshop of the same house."""
    return Workshop.objects.create(name="Millrace", slug="millrace", order_prefix="M")


@pytest.fixture
def ines(quay_street: Workshop) -> Actor:
    return person(quay_street, "Ines R.", Role.TECHNICIAN)


@pytest.fixture
def tomas(quay_street: Workshop) -> Actor:
    """A second technician, for two tablets on one job."""
    return person(quay_street, "Tomas B.", Role.TECHNICIAN)


@pytest.fixture
def bela(quay_street: Workshop) -> Actor:
    return person(quay_street, "Bela K.", Role.MANAGER)


@pytest.fixture
def nuri(quay_street: Workshop) -> Actor:
    return person(quay_street, "Nuri A.", Role.COUNTER)


@pytest.fixture
def vera(quay_street: Workshop) -> Actor:
    return person(quay_street, "Vera S.", Role.OWNER)


@pytest.fixture
def pim(millrace: Workshop) -> Actor:
    """A stranger: service manager of the other workshop."""
    return person(millrace, "Pim D.", Role.MANAGER)
