"""Size budgets: what has grown too long is easier to live in as two."""

from __future__ import annotations

import ast

from tests.house.source import (
    APPS,
    PURE,
    ROOT,
    functions,
    length,
    name_of,
    percentile,
    python_files,
    templates,
    tree,
)

FILE_MEDIAN, FILE_P95, FILE_CAP = 100, 400, 600
FUNCTION_P95, FUNCTION_CAP = 35, 60
VIEW_P95 = 30
TEMPLATE_CAP = 250
STATIC_CAP = 600


def _lines(text: str) -> int:
    return len(text.splitlines())


def test_files_are_short() -> None:
    sizes = {path: _lines(path.read_text(encoding="utf-8")) for path in python_files(*APPS)}
    too_long = {name_of(path): size for path, size in sizes.items() if size > FILE_CAP}
    assert not too_long
    assert percentile(list(sizes.values()), 0.5) <= FILE_MEDIAN
    assert percentile(list(sizes.values()), 0.95) <= FILE_P95


def test_test_files_are_short() -> None:
    sizes = {name_of(p): _lines(p.read_text(encoding="utf-8")) for p in python_files("tests")}
    assert not {name: size for name, size in sizes.items() if size > FILE_CAP}


def test_functions_are_short() -> None:
    sizes = {
        f"{name_of(path)}:{node.lineno} {node.name}": length(node)
        for path in python_files(*APPS)
        for node in functions(path)
    }
    assert not {name: size for name, size in sizes.items() if size > FUNCTION_CAP}
    assert percentile(list(sizes.values()), 0.95) <= FUNCTION_P95


def test_views_are_thin() -> None:
    sizes = [
        length(node)
        for path in python_files(*APPS)
        if "views" in path.parts
        for node in functions(path)
    ]
    assert percentile(sizes, 0.95) <= VIEW_P95


def test_templates_are_short() -> None:
    sizes = {name_of(path): _lines(path.read_text(encoding="utf-8")) for path in templates()}
    assert sizes
    assert not {name: size for name, size in sizes.items() if size > TEMPLATE_CAP}


def test_style_sheets_and_scripts_are_short() -> None:
    files = [*(ROOT / "shop/static").rglob("*.css"), *(ROOT / "shop/static").rglob("*.js")]
    sizes = {name_of(path): _lines(path.read_text(encoding="utf-8")) for path in files}
    assert sizes
    assert not {name: size for name, size in sizes.items() if size > STATIC_CAP}


def test_no_import_hides_in_a_function() -> None:
    """One is allowed: an app's ready(), which Django asks to import there."""
    hidden = [
        f"{name_of(path)}:{inner.lineno}"
        for path in python_files(*APPS)
        for node in functions(path)
        if not (path.name == "apps.py" and node.name == "ready")
        for inner in ast.walk(node)
        if isinstance(inner, (ast.Import, ast.ImportFrom))
    ]
    assert not hidden


def test_every_function_is_annotated() -> None:
    bare = [
        f"{name_of(path)}:{node.lineno} {node.name}"
        for path in python_files(*APPS, "tests")
        for node in functions(path)
        if node.returns is None
    ]
    assert not bare


def test_public_pure_functions_have_docstrings() -> None:
    pure = [
        path for path in python_files(*APPS) if PURE.search(ast.get_docstring(tree(path)) or "")
    ]
    assert len(pure) >= 10
    silent = [
        f"{name_of(path)}:{node.lineno} {node.name}"
        for path in pure
        for node in tree(path).body
        if isinstance(node, ast.FunctionDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert not silent
