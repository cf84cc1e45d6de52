"""The watch: does anything fail more often than it did, and since when is that known?"""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Section, Span
from jobs.reports.figures import watch_tables, watch_words
from jobs.reports.figures.watched import Picture, Watched, picture
from shop.actor import Actor

KEY: Final = "watch"
MOST_PICTURES: Final = 3


def section(actor: Actor, span: Span) -> Section:
    """Five queries, whatever there is."""
    found = picture(actor, span)
    return Section(
        KEY,
        _("Watch"),
        says=watch_words.sentences(found),
        figures=tuple(watch_tables.figure(found, one) for one in _to_see(found)),
        tables=_tables(found),
        limits=watch_words.limits() if found.all else (),
        findings=watch_words.findings(found),
    )


def _to_see(found: Picture) -> tuple[Watched, ...]:
    """Alarms that stand; where there is none, the watch that is nearest to one."""
    if found.standing:
        return found.standing[:MOST_PICTURES]
    risen = [one for one in found.all if one.course.level > 0]
    nearest = sorted(risen, key=lambda one: one.course.level / found.height_of(one))
    return tuple(nearest[-1:])


def _tables(found: Picture) -> tuple[ReportTable, ...]:
    made = []
    if found.kinds.watches:
        made.append(watch_tables.kinds(found))
    if found.batches.watches:
        made.append(watch_tables.batches(found))
    if found.changes:
        made.append(watch_tables.changes(found))
    return tuple(made)
