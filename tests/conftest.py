"""What every test has: the cast, cheap passwords, and one platform's pages in the database."""

from __future__ import annotations

import pytest
from pytest_django import DjangoDbBlocker
from pytest_django.fixtures import Settings

from tests.factories import the_pages

pytest_plugins = ["tests.cast"]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> None:
    """The pages of PL2 are loaded once: each test then rolls back only what it adds itself.

    Tests that flush the database come last and load what they need through the factories.
    """
    with django_db_blocker.unblock():
        the_pages("PL2")


@pytest.fixture(autouse=True)
def cheap_passwords(settings: Settings) -> None:
    """Hashing a password well takes longer than most tests."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
