"""Published values for the tests. Their sources stand in fixtures/reference/SOURCES.md."""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of fixtures/reference/<name>.csv by column name."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def named(row: dict[str, str], *columns: str) -> str:
    """A test id from some columns and the mark of how sure the source is."""
    return " ".join([*(row[column] for column in columns), f"[{row['mark']}]"])
