"""An import points down: the contracts hold, and pure modules live without Django."""

from __future__ import annotations

import ast
import subprocess
import sys

import pytest

from tests.house.source import APPS, ROOT, name_of, python_files, tree
from tests.house.source import PURE as PURE_WORD

PURE = [
    name_of(path).removesuffix(".py").replace("/", ".")
    for path in python_files(*APPS)
    if PURE_WORD.search(ast.get_docstring(tree(path)) or "")
]

WITHOUT_DJANGO = """
import importlib, sys
class Wall:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"django", "psycopg", "weasyprint"}:
            raise ImportError(f"a pure module asked for {name}")
sys.meta_path.insert(0, Wall())
for name in sys.argv[1:]:
    importlib.import_module(name)
print(len(sys.argv) - 1)
"""


def test_the_contracts_are_kept() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_pure_modules_import_without_django() -> None:
    assert len(PURE) >= 12
    ran = subprocess.run(
        [sys.executable, "-c", WITHOUT_DJANGO, *PURE],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.strip() == str(len(PURE))


@pytest.mark.parametrize("word", ["GenericForeignKey", "JSONField", "@receiver", "post_save"])
def test_the_house_does_without(word: str) -> None:
    """No generic relations, no JSON columns for what is queried, no signals."""
    users = [
        name_of(path) for path in python_files(*APPS) if word in path.read_text(encoding="utf-8")
    ]
    assert not users


def test_no_file_is_called_utils() -> None:
    assert not [name_of(p) for p in python_files(*APPS) if p.stem in {"utils", "helpers", "misc"}]
