"""A demo world made once for a file of tests, on a Wednesday at twenty past ten, undone after."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from jobs.demo.data import World, read_world
from jobs.demo.world import FIXTURES, load
from shop import clock

ZONE = ZoneInfo(settings.TIME_ZONE)
NOW = datetime(2026, 3, 11, 10, 20, tzinfo=ZONE)
_CHEAP = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@contextmanager
def undone(blocker: DjangoDbBlocker) -> Iterator[None]:
    """Whatever is made within is there for the tests of a file, and gone after them."""
    with (
        blocker.unblock(),
        override_settings(PASSWORD_HASHERS=_CHEAP),
        transaction.atomic(),
    ):
        yield
        transaction.set_rollback(True)


def made(world: World | None = None, history: float = 1.0) -> World:
    """Loaded as of that moment."""
    whole = world or read_world(FIXTURES / "demo")
    with clock.at(NOW):
        load(say=lambda _line: None, password="slow-barge-9", world=whole, history=history)
    return whole
