"""What every test has: the cast, cheap passwords, and one platform's pages in the database."""

from __future__ import annotations

import gc
from collections.abc import Generator, Iterator
from typing import Any

import pytest
from pytest_django import DjangoDbBlocker
from pytest_django.fixtures import Settings
from pytest_django.plugin import blocking_manager_key
from whitenoise.middleware import WhiteNoiseMiddleware

from tests.factories import the_pages

pytest_plugins = ["tests.cast"]


def pytest_collection_finish() -> None:
    """What stands once all tests are read in stays to the end: it is not searched for rubbish.

    Searching took a twelfth of the processor's time, and a sixth where papers are set: less often
    is enough for what a test leaves behind.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


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


@pytest.fixture(scope="session", autouse=True)
def static_files_listed_once() -> Iterator[None]:
    """Every client of a test starts the product's middleware anew; the static files stay.

    Listing them takes some 4 ms, thousands of times over.
    """
    list_them = WhiteNoiseMiddleware.add_files_from_finders
    listed: dict[tuple[str, int | None], dict[str, Any]] = {}

    def list_once(self: Any) -> None:
        how = (self.static_prefix, self.max_age)
        if how not in listed:
            before, self.files = self.files, {}
            list_them(self)
            listed[how], self.files = self.files, before
        self.files.update(listed[how])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", list_once)
        yield


@pytest.fixture(autouse=True)
def cheap_passwords(settings: Settings) -> None:
    """Hashing a password well takes longer than most tests."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
