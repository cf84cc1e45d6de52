"""Real Chromium against a real server. A missing browser fails every test here; it skips none."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect, sync_playwright
from pytest_django.live_server_helper import LiveServer

from shop.actor import Actor
from tests.browser.chromium import FLAGS, find_chromium
from tests.browser.tablet import Tablet, open_tablet
from tests.cast import client_of
from tests.jobs.along import Crew

# Playwright keeps an event loop running in the thread of the tests; Django would take the
# factories' queries there for async code. Nothing in these tests is async.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

expect.set_options(timeout=15_000)

Opener = Callable[..., Tablet]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """SQLite in a file, as it is served: threads of a server cannot share one in memory.

    Several at once have a database each: the folder is theirs, and PostgreSQL's name gets a suffix.
    """
    from django.conf import settings  # noqa: PLC0415  (only once pytest-django has set it up)

    database: dict[str, Any] = settings.DATABASES["default"]
    if "sqlite3" in database["ENGINE"]:
        folder = tmp_path_factory.mktemp("database")
        database.setdefault("TEST", {})["NAME"] = str(folder / "browser.sqlite3")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def tablet(
    chromium: Browser, live_server: LiveServer, tmp_path: Path, settings: Any
) -> Iterator[Opener]:
    """`tablet()` opens the sign-in page; `tablet(ines)` one on which she has signed in.

    What no page may do (an error on the console, a thing the policy forbids, a request that
    fails) is gathered, and fails the test when it ends.
    """
    settings.STATE_DIR = tmp_path
    opened: list[Tablet] = []

    def open_one(actor: Actor | None = None, **options: Any) -> Tablet:
        cookies = client_of(actor).cookies if actor else {}
        one = open_tablet(chromium, live_server.url, cookies, **options)
        opened.append(one)
        return one

    yield open_one
    troubles = [trouble for one in opened for trouble in one.troubles]
    for one in opened:
        one.page.context.close()
    assert not troubles, "\n".join(troubles)


@pytest.fixture
def crew(ines: Actor, bela: Actor, nuri: Actor) -> Crew:
    return Crew(ines, bela, nuri)
