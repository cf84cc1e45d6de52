"""Two databases side by side: the same workshop with few closed jobs and with many."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from contextvars import ContextVar
from typing import Any

import psycopg
from django.core.management import call_command
from django.db import connections

_chosen = ContextVar("chosen", default="default")


class Chosen:
    """A database router that follows `using`."""

    def db_for_read(self, model: Any, **hints: Any) -> str:
        return _chosen.get()

    db_for_write = db_for_read

    def allow_relation(self, first: Any, second: Any, **hints: Any) -> bool:
        return True


@contextmanager
def using(alias: str) -> Iterator[None]:
    token = _chosen.set(alias)
    try:
        yield
    finally:
        _chosen.reset(token)


def make() -> None:
    """The first database, new and with every migration."""
    if connections["default"].vendor == "postgresql":
        _as_owner(f'CREATE DATABASE "{_name("default")}"')
    call_command("migrate", verbosity=0, interactive=False)


def copy_to_few() -> None:
    """What `default` holds now becomes the contents of `few`."""
    if connections["default"].vendor == "postgresql":
        let_go()
        _as_owner(f'CREATE DATABASE "{_name("few")}" TEMPLATE "{_name("default")}"')
        return
    let_go()
    with closing(sqlite3.connect(_name("default"))) as database:
        database.execute("VACUUM INTO ?", [_name("few")])


def settle(*aliases: str) -> None:
    """What PostgreSQL does by itself within minutes of a change. SQLite stays as it was filled."""
    for alias in aliases:
        connection = connections[alias]
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("VACUUM ANALYZE")


def version() -> str:
    connection = connections["default"]
    if connection.vendor == "sqlite":
        return f"SQLite {sqlite3.sqlite_version}"
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version")
        return f"PostgreSQL {cursor.fetchone()[0].split()[0]}"


def let_go() -> None:
    for connection in connections.all(initialized_only=True):
        connection.close()
        close_pool = getattr(connection, "close_pool", None)
        if close_pool is not None:
            close_pool()


def _name(alias: str) -> str:
    return str(connections[alias].settings_dict["NAME"])


def _as_owner(statement: str) -> None:
    params = connections["default"].get_connection_params()
    wanted = {key: params[key] for key in ("host", "port", "user", "password") if key in params}
    with psycopg.connect(dbname="postgres", autocommit=True, **wanted) as owner:
        owner.execute(statement)
