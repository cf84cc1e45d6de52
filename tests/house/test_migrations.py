"""Migrations are complete, linear, and know nothing of the code that moves on around them."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Mapping
from io import StringIO
from pathlib import Path
from typing import Any, Self

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.utils import ConnectionHandler
from pytest_django.fixtures import Settings

from tests.house.source import APPS, ROOT, name_of, tree


@pytest.fixture(autouse=True)
def with_migrations(settings: Settings) -> None:
    """pytest's --nomigrations hides them."""
    settings.MIGRATION_MODULES = {}


@pytest.mark.django_db
def test_nothing_is_missing_from_the_migrations() -> None:
    call_command("makemigrations", check=True, dry_run=True, stdout=StringIO())


@pytest.mark.django_db
@pytest.mark.parametrize("app", APPS)
def test_each_app_has_one_line_of_migrations(app: str) -> None:
    loader = MigrationLoader(None)
    assert len(loader.graph.leaf_nodes(app)) == 1
    for key in loader.graph.nodes:
        if key[0] == app:
            own_parents = [
                parent for parent in loader.graph.node_map[key].parents if parent.key[0] == app
            ]
            assert len(own_parents) <= 1


@pytest.mark.django_db
def test_from_zero_they_make_the_tables_of_the_models(tmp_path: Path) -> None:
    """Most tests run on tables made from the models: these must be the same ones."""
    with Aside(tmp_path) as aside:
        aside.run("manage.py", "migrate", "--verbosity", "0")
        assert aside.tables() == tables(connection)


@pytest.mark.django_db
def test_an_older_database_goes_on_from_where_it_is(tmp_path: Path) -> None:
    """It was made step by step, before one migration came to stand for all of an app's."""
    with Aside(tmp_path) as aside:
        aside.run("-c", STEP_BY_STEP)
        assert "jobs_comeback" not in aside.tables()
        aside.run("manage.py", "migrate", "--verbosity", "0")
        assert aside.tables() == tables(connection)


STEP_BY_STEP = """
import django
django.setup()
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
executor = MigrationExecutor(connection)
executor.loader = MigrationLoader(connection, replace_migrations=False)
executor.migrate([("jobs", "0012_what_the_customer_bears_first")])
"""


class Aside:
    """A database beside that of the tests, of the same sort, reached by commands as it would be."""

    def __init__(self, folder: Path) -> None:
        on_disk = connection.vendor == "sqlite"
        self.name = str(folder / "migrated.sqlite3") if on_disk else f"aside_{os.getpid()}"
        base = os.environ.get("DATABASE_URL", "").rpartition("/")[0]
        self.environment = os.environ | {
            "STUBAXLE_STATE": str(folder),
            "DATABASE_URL": f"sqlite:///{self.name}" if on_disk else f"{base}/{self.name}",
            "DJANGO_SETTINGS_MODULE": "shop.settings",
        }

    def run(self, *arguments: str) -> None:
        done = subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env=self.environment,
            check=False,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr

    def tables(self) -> dict[str, object]:
        return tables(self.handler["default"])

    def __enter__(self) -> Self:
        self._on_the_server("CREATE DATABASE")
        # Without the pool: it is kept by alias, and would hand out the tests' own database.
        options = {k: v for k, v in connection.settings_dict["OPTIONS"].items() if k != "pool"}
        settings = connection.settings_dict | {"NAME": self.name, "OPTIONS": options}
        self.handler = ConnectionHandler({"default": settings})
        return self

    def __exit__(self, *_error: object) -> None:
        self.handler["default"].close()
        self._on_the_server("DROP DATABASE")

    def _on_the_server(self, statement: str) -> None:
        """Over a connection of its own: no database is made within a transaction."""
        if connection.vendor == "postgresql":
            own: Any = connection.copy()
            try:
                with own.cursor() as cursor:
                    cursor.execute(f"{statement} {self.name}")
            finally:
                own.close()


def tables(given: BaseDatabaseWrapper) -> dict[str, object]:
    """Columns and constraints by table; names that a database makes up are left out."""
    found: dict[str, object] = {}
    with given.cursor() as cursor:
        for name in given.introspection.table_names(cursor):
            if not name.startswith(tuple(f"{app}_" for app in APPS)):
                continue
            columns = given.introspection.get_table_description(cursor, name)
            constraints = given.introspection.get_constraints(cursor, name).values()
            found[name] = (
                {(one.name, one.type_code, one.null_ok) for one in columns},
                sorted(str(sorted(one.items())) for one in map(_plain, constraints)),
            )
    return found


def _plain(constraint: Mapping[str, object]) -> dict[str, object]:
    kept = ("columns", "primary_key", "unique", "foreign_key", "check", "index")
    return {key: constraint[key] for key in kept}


def test_they_import_no_code_that_moves() -> None:
    paths = [path for app in APPS for path in (ROOT / app / "migrations").glob("0*.py")]
    assert paths
    moving = [
        f"{name_of(path)}: {node.module}"
        for path in paths
        for node in ast.walk(tree(path))
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in APPS
    ]
    assert not moving
    named = [name_of(path) for path in paths if "auto" in path.stem]
    assert not named
