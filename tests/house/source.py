"""What the house tests walk over: our own files, found once."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
APPS = ("shop", "diagnostics", "jobs")
# How a module says that it is pure: "Pure." or "Pure: no Django" in its docstring.
PURE = re.compile(r"\bPure[.:]")
FUNCTION = (ast.FunctionDef, ast.AsyncFunctionDef)


def python_files(*folders: str) -> list[Path]:
    """Every Python file below the folders, migrations left out."""
    found = (path for folder in folders for path in (ROOT / folder).rglob("*.py"))
    return sorted(path for path in found if "migrations" not in path.parts)


def templates() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree(path)):
        if isinstance(node, FUNCTION):
            yield node


def length(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from the `def` to the last statement, the docstring not counted."""
    lines = (node.end_lineno or node.lineno) - node.lineno + 1
    if ast.get_docstring(node):
        first = node.body[0]
        lines -= (first.end_lineno or first.lineno) - first.lineno + 1
    return lines


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


def percentile(values: list[int], share: float) -> int:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]
