"""Migrations are complete, linear, and know nothing of the code that moves on around them."""

from __future__ import annotations

import ast
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from tests.house.source import APPS, ROOT, name_of, tree


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
def test_they_ran_from_zero() -> None:
    """The test database was made by the migrations, and every table of ours is there."""
    executed = MigrationLoader(connection).applied_migrations
    assert {app for app, _name in executed} >= set(APPS)


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
