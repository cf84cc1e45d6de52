"""Can the database be used by this version? Said in one sentence when not."""

from __future__ import annotations

import psycopg
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from shop.serving.problems import StartProblem

NEWER = (
    "This database was made by a newer Stubaxle (it has the change {change}, which this version "
    "does not know); start the newer version, or use a copy from before the change."
)


def open_database() -> None:
    """Connect once, outside the pool, where a refusal comes at once and with its reason."""
    if connection.vendor == "postgresql":
        _knock()
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError as error:
        raise StartProblem(f"The database {_name()} cannot be opened: {_reason(error)}.") from error


def _knock() -> None:
    params = connection.get_connection_params()
    wanted = {key: params[key] for key in ("host", "port", "user", "password") if key in params}
    try:
        psycopg.connect(dbname=params["dbname"], connect_timeout=5, **wanted).close()
    except psycopg.Error as error:
        raise StartProblem(_why_refused(_reason(error))) from error


def _why_refused(reason: str) -> str:
    user, name = connection.settings_dict["USER"], _name()
    where = f"{connection.settings_dict['HOST'] or 'this machine'}"
    if port := connection.settings_dict["PORT"]:
        where = f"{where}, port {port}"
    if any(word in reason for word in ("password", "authentication", "role")):
        return f"PostgreSQL at {where} refuses the user “{user}”: {reason}; see DATABASE_URL."
    if "database" in reason and "does not exist" in reason:
        return f"PostgreSQL at {where} has no database “{name}”; make it with: createdb {name}."
    return f"PostgreSQL at {where} cannot be reached: {reason}; see DATABASE_URL."


def bring_up_to_date() -> bool:
    """Run the migrations that are missing. True when there were any.

    Raises StartProblem when the database is ahead of this version or refuses a change.
    """
    try:
        loader = MigrationLoader(connection)
        known = set(loader.disk_migrations)
        for migration in loader.disk_migrations.values():
            known.update(migration.replaces)
        ahead = sorted(set(loader.applied_migrations) - known)
        if ahead:
            raise StartProblem(NEWER.format(change=".".join(ahead[-1])))
        executor = MigrationExecutor(connection)
        missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if missing:
            call_command("migrate", interactive=False, verbosity=0)
    except DatabaseError as error:
        raise StartProblem(
            f"The database {_name()} could not be brought up to date: {_reason(error)}."
        ) from error
    return bool(missing)


def _name() -> str:
    return str(connection.settings_dict["NAME"])


def _reason(error: BaseException) -> str:
    """What the driver itself said, which puts the cause at the end of its first line."""
    while deeper := error.__cause__ or error.__context__:
        error = deeper
    first = (str(error).strip().splitlines() or [type(error).__name__])[0]
    for mark in ("FATAL:", "failed:", "ERROR:"):
        first = first.rpartition(mark)[2] or first
    return first.strip().rstrip(".")


def let_go() -> None:
    """Close what is open, the pool's threads too: nothing of it may live on in the server."""
    connection.close()
    close_pool = getattr(connection, "close_pool", None)
    if close_pool is not None:
        close_pool()
