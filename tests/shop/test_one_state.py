"""Questions that belong together are answered from one state, and hold nobody up."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Thread

import pytest
from django.db import connection, connections, transaction

from shop.environment import database_config
from shop.models import Workshop
from shop.one_state import one_state

ASIDE = "aside"


def _count(using: str) -> int:
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT count(*) FROM one_state_rows")
        (count,) = cursor.fetchone()
    return int(count)


def _written_elsewhere(using: str) -> None:
    """By somebody else, over a connection of their own, who does not wait."""
    failed: list[BaseException] = []

    def write() -> None:
        try:
            connections[using].connect()
            with transaction.atomic(using), connections[using].cursor() as cursor:
                cursor.execute("INSERT INTO one_state_rows VALUES (1)")
        except BaseException as error:
            failed.append(error)
        finally:
            connections[using].close()

    other = Thread(target=write)
    other.start()
    other.join(timeout=60)
    assert not other.is_alive()
    assert not failed


@pytest.fixture
def on_disk(tmp_path: Path) -> Iterator[str]:
    """A database as a workshop has it: SQLite in a file, or the PostgreSQL of the tests."""
    name = "default"
    if connection.vendor == "sqlite":
        name = ASIDE
        connections.databases[ASIDE] = {
            **connections.databases["default"],
            **database_config("", tmp_path),
        }
        connections[ASIDE].connect()
    with connections[name].cursor() as cursor:
        cursor.execute("CREATE TABLE one_state_rows (number integer)")
    yield name
    with connections[name].cursor() as cursor:
        cursor.execute("DROP TABLE one_state_rows")
    if name == ASIDE:
        connections[ASIDE].close()
        del connections[ASIDE]
        del connections.databases[ASIDE]


@pytest.mark.django_db(transaction=True)
def test_what_is_written_meanwhile_is_seen_afterwards_only(on_disk: str) -> None:
    with one_state(on_disk):
        assert _count(on_disk) == 0
        _written_elsewhere(on_disk)
        assert _count(on_disk) == 0
    assert _count(on_disk) == 1


@pytest.mark.django_db(transaction=True)
def test_without_it_two_questions_may_be_answered_from_two_states(on_disk: str) -> None:
    assert _count(on_disk) == 0
    _written_elsewhere(on_disk)
    assert _count(on_disk) == 1


@pytest.mark.django_db(transaction=True)
def test_the_next_transaction_writes_as_before(on_disk: str) -> None:
    before = getattr(connections[on_disk], "transaction_mode", None)
    with pytest.raises(RuntimeError, match="no figures"), one_state(on_disk):
        raise RuntimeError("no figures today")
    assert getattr(connections[on_disk], "transaction_mode", None) == before
    with transaction.atomic(on_disk), connections[on_disk].cursor() as cursor:
        cursor.execute("INSERT INTO one_state_rows VALUES (1)")
    assert _count(on_disk) == 1


@pytest.mark.django_db
def test_within_a_transaction_that_is_under_way_it_is_that_one(millrace: Workshop) -> None:
    with one_state():
        assert Workshop.objects.filter(pk=millrace.pk).exists()
