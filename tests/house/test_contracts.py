"""Each contract of the floors can break: an import that it forbids is planted, and it says so."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import APPS, ROOT

# contract: the module that is spoiled, and what it wrongly imports
PLANTED = {
    "Floors": ("shop.clock", "jobs.models"),
    "Pure modules": ("shop.money", "django.conf"),
    "Inside an app": ("shop.models.customers", "shop.services.log"),
    "An upper floor": ("diagnostics.ports", "shop.views.front"),
    "The top floor": ("jobs.companion", "diagnostics.forms"),
    "The web kit": ("shop.web.paging", "shop.services.log"),
    "Migrations": ("jobs.migrations.0001_foundation", "jobs.models.order"),
}
HEADING = re.compile(r"^(?P<name>.+)\n-+\n$", re.MULTILINE)


def lint(folder: Path) -> str:
    ran = subprocess.run(
        [
            sys.executable,
            "-c",
            "from importlinter.cli import lint_imports_command as c; c()",
            "--no-cache",
        ],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return ran.stdout + ran.stderr


@pytest.fixture(scope="module")
def spoiled(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What the linter says of a copy of the product with every violation in it, by contract."""
    copy = tmp_path_factory.mktemp("spoiled")
    shutil.copy(ROOT / "pyproject.toml", copy)
    for app in APPS:
        shutil.copytree(ROOT / app, copy / app, ignore=lambda *_: ["static", "__pycache__"])
    for module, wrong in PLANTED.values():
        path = copy.joinpath(*module.split(".")).with_suffix(".py")
        kept = path.read_text(encoding="utf-8")
        path.write_text(f"{kept}\nimport {wrong}\n", encoding="utf-8")
    said = lint(copy)
    parts = HEADING.split(said.partition("Broken contracts")[2])
    return dict(zip(parts[1::2], parts[2::2], strict=True))


@pytest.mark.parametrize("contract", PLANTED)
def test_a_planted_import_breaks_its_contract(spoiled: dict[str, str], contract: str) -> None:
    module, wrong = PLANTED[contract]
    [report] = [text for name, text in spoiled.items() if name.startswith(contract)]
    assert re.search(rf"{re.escape(module)} -> {re.escape(wrong.split('.conf')[0])}\b", report)


def test_every_contract_has_its_violation() -> None:
    settings = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    names = re.findall(r'\[\[tool\.importlinter\.contracts\]\]\nname = "(.+)"', settings)
    assert len(names) == len(PLANTED)
    assert all(any(name.startswith(planted) for planted in PLANTED) for name in names)
