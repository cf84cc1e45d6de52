"""What a report says otherwise than the one it revises, in words, a line for each thing.

Tables are held against each other cell by cell as they read, rows by what they are about; then
sentences, limits, and charts whose numbers moved.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from django.utils.translation import gettext as _

from jobs.reports.document import Report, ReportTable, Section, Shown
from shop.charting import Chart

_Row = tuple[Shown, ...]
_Name = tuple[str, int]  # what the row is about, and the how manieth of that name it is


def changes(before: Report, after: Report) -> tuple[str, ...]:
    """A line for each thing that reads otherwise; nothing when all reads the same."""
    lines = list(_findings(before, after))
    old = {section.key: section for section in before.sections}
    new = {section.key: section for section in after.sections}
    for key, section in new.items():
        if key in old:
            lines += _section(old[key], section)
        else:
            lines.append(_("The section “%(title)s” is new.") % {"title": section.title})
    for key, section in old.items():
        if key not in new:
            lines.append(_("The section “%(title)s” is gone.") % {"title": section.title})
    return tuple(lines)


def _findings(before: Report, after: Report) -> Iterator[str]:
    old = [one.words for one in before.findings]
    new = [one.words for one in after.findings]
    yield from _sentences(_("First of all"), old, new)


def _section(old: Section, new: Section) -> list[str]:
    lines: list[str] = []
    after = {table.key: table for table in new.tables}
    before = {table.key: table for table in old.tables}
    for key, table in after.items():
        if key in before:
            lines += _table(before[key], table)
        else:
            lines.append(_("The table “%(title)s” is new.") % {"title": table.title})
    for key, table in before.items():
        if key not in after:
            lines.append(_("The table “%(title)s” is gone.") % {"title": table.title})
    lines += _sentences(new.title, old.says, new.says)
    lines += _sentences(new.title, _limits(old), _limits(new))
    lines += _charts(old, new)
    return lines


# ------------------------------------------------------------------ tables


def _table(old: ReportTable, new: ReportTable) -> Iterator[str]:
    heads = [column.name for column in new.columns]
    if heads != [column.name for column in old.columns]:
        yield _("The table “%(title)s” has other columns.") % {"title": new.title}
        return
    before, after = _by_name(old.rows), _by_name(new.rows)
    for name, row in after.items():
        if name in before:
            yield from _cells(new, name[0], heads, before[name], row)
        else:
            yield _("%(table)s: %(row)s is new (%(cells)s).") % {
                "table": new.title,
                "row": name[0],
                "cells": _told(heads, row),
            }
    for name, row in before.items():
        if name not in after:
            yield _("%(table)s: %(row)s is gone (it was %(cells)s).") % {
                "table": new.title,
                "row": name[0],
                "cells": _told(heads, row),
            }
    if old.note != new.note:
        yield _was(_("%(table)s, note") % {"table": new.title}, old.note, new.note)


def _cells(table: ReportTable, about: str, heads: list[str], old: _Row, new: _Row) -> Iterator[str]:
    for head, was, reads in zip(heads, old, new, strict=True):
        if (was.words, was.value) == (reads.words, reads.value):
            continue
        where = _("%(table)s, %(row)s, %(column)s") % {
            "table": table.title,
            "row": about,
            "column": head,
        }
        if was.words == reads.words:
            yield _("%(where)s: %(words)s, a little otherwise than it can be read.") % {
                "where": where,
                "words": reads.words,
            }
        else:
            yield _was(where, was.words, reads.words)


def _by_name(rows: Iterable[_Row]) -> dict[_Name, _Row]:
    """Rows by their leading texts; of two that are about the same, the first is the first."""
    seen: Counter[str] = Counter()
    found = {}
    for row in rows:
        about = _about(row)
        seen[about] += 1
        found[about, seen[about]] = row
    return found


def _about(row: _Row) -> str:
    """What a row is about: its first cell, and the texts that follow it before the first value."""
    words = [cell.words for cell in row[:1]]
    for cell in row[1:]:
        if cell.value is not None and not isinstance(cell.value, str):
            break
        if not cell.words[:1].isalpha():
            break
        words.append(cell.words)
    return ", ".join(words)


def _told(heads: list[str], row: _Row) -> str:
    pairs = zip(heads[1:], row[1:], strict=True)
    return "; ".join(f"{head} {cell.words}" for head, cell in pairs)


# ------------------------------------------------------------------ words and pictures


def _sentences(where: str, old: Iterable[str], new: Iterable[str]) -> Iterator[str]:
    before, after = Counter(old), Counter(new)
    for words in (after - before).elements():
        yield _("%(where)s: now it says “%(words)s”") % {"where": where, "words": words}
    for words in (before - after).elements():
        yield _("%(where)s: it no longer says “%(words)s”") % {"where": where, "words": words}


def _limits(section: Section) -> list[str]:
    return [*section.limits, *(limit for one in section.figures for limit in one.limits)]


def _charts(old: Section, new: Section) -> Iterator[str]:
    before = {one.chart.title: one.chart for one in old.figures}
    after = {one.chart.title: one.chart for one in new.figures}
    for title, chart in after.items():
        if title not in before:
            yield _("The chart “%(title)s” is new.") % {"title": title}
        elif _drawn(before[title]) != _drawn(chart):
            yield _("The chart “%(title)s” shows other numbers.") % {"title": title}
        elif before[title].says != chart.says:
            yield _was(title, before[title].says, chart.says)
    for title in before:
        if title not in after:
            yield _("The chart “%(title)s” is gone.") % {"title": title}


def _drawn(chart: Chart) -> Chart:
    return replace(chart, says="")


def _was(where: str, old: str, new: str) -> str:
    return _("%(where)s: %(new)s, was %(old)s") % {
        "where": where,
        "new": new or _("nothing"),
        "old": old or _("nothing"),
    }
