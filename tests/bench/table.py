"""The figures of both databases in one table, with their ratios and what they aim at."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from tests.bench import machine

OPEN, FEW, MANY = 50, 1_000, 100_000
POSTING_AIM, DESK_AIM, SHEET_AIM = 3.0, 1.3, 11.0

# What is shown of a measured case, in this order.
CASES = {
    "reading": "post a reading, get its verdict",
    "bare, same middleware": "bare view, same middleware",
    "bare, no middleware": "bare view, no middleware",
    "desk, few closed": f"Desk, {OPEN} open, {FEW:,} closed",
    "desk, many closed": f"Desk, {OPEN} open, {MANY:,} closed",
    "counter, few moved": f"Counter, 500 lines, {2 * FEW:,} moved",
    "counter, many moved": f"Counter, 500 lines, {2 * MANY:,} moved",
    "ledger, few claims": f"Ledger, a year, {2 * FEW:,} claims before",
    "ledger, many claims": f"Ledger, a year, {2 * MANY:,} before",
    "work, one": "sheet with one computation",
    "work, eleven": "sheet with eleven computations",
    "job-card": "job card as PDF",
    "repair-order-pdf": "repair order as PDF",
}
RATIOS = (
    ("reading / bare, same middleware", "reading", "bare, same middleware", POSTING_AIM),
    ("reading / bare, no middleware", "reading", "bare, no middleware", POSTING_AIM),
    ("Desk, many closed / few closed", "desk, many closed", "desk, few closed", DESK_AIM),
    ("Counter, many moved / few moved", "counter, many moved", "counter, few moved", DESK_AIM),
    ("Ledger, many claims / few claims", "ledger, many claims", "ledger, few claims", DESK_AIM),
    ("eleven computations / one", "work, eleven", "work, one", SHEET_AIM),
)
NOTE = (
    "Medians of whole requests through the WSGI application in one process, taking turns, with "
    "the connection taken and given back for each. The bare view does one INSERT and one SELECT "
    "and renders one line. SQL counts BEGIN, SAVEPOINT and COMMIT. The temporary PostgreSQL "
    "does not wait for the disk (fsync off), SQLite runs as script/server runs it."
)


def lines(read: Sequence[dict[str, Any]]) -> list[str]:
    """The table of what was measured: one pair of columns for each database."""
    heads = [str(one["database"]) for one in read]
    rows = [*machine.lines(), "", _row("", [f"{head:>18}" for head in heads])]
    for key, words in CASES.items():
        rows.append(_row(words, [_figure(one, key) for one in read]))
    rows.append("")
    for words, above, below, aim in RATIOS:
        shown = [one["seconds"][above] / one["seconds"][below] for one in read]
        said = "aim" if max(shown) <= aim else "OVER the aim"
        row = _row(words, [f"{ratio:>18.2f}" for ratio in shown])
        rows.append(f"{row}   {said} {aim:g}")
    return [*rows, "", *wrap(NOTE, 96)]


def _row(words: str, cells: Sequence[str]) -> str:
    return f"{words:<36}" + "".join(f"  {cell}" for cell in cells)


def _figure(one: dict[str, Any], key: str) -> str:
    seconds, statements = one["seconds"][key], one["statements"][key]
    time = f"{seconds:.2f} s" if seconds > 0.2 else f"{seconds * 1000:.2f} ms"
    return f"{time:>9} {statements:>3} SQL".rjust(18)
