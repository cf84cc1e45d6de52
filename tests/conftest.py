"""What every test has: the cast, cheap passwords, and one platform's pages in the database."""

from __future__ import annotations

from collections.abc import Generator

import pytest
from pytest_django import DjangoDbBlocker
from pytest_django.fixtures import Settings
from pytest_django.plugin import blocking_manager_key

from tests.factories import the_pages

pytest_plugins = ["tests.cast"]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> None:
    """The pages of PL2 are loaded once: each test then rolls back only what it adds itself.

    A test that commits empties the database after itself; see below.
    """
    with django_db_blocker.unblock():
        the_pages("PL2")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(
    item: pytest.Item, nextitem: pytest.Item | None
) -> Generator[None, None, None]:
    """After a test that emptied the database the pages are put back, whoever comes next.

    After the last one nobody does, and the database is gone already.
    """
    yield
    marker = item.get_closest_marker("django_db")
    if nextitem and marker and marker.kwargs.get("transaction"):
        with item.config.stash[blocking_manager_key].unblock():
            the_pages("PL2")


@pytest.fixture(autouse=True)
def cheap_passwords(settings: Settings) -> None:
    """Hashing a password well takes longer than most tests."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
