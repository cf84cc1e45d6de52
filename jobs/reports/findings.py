"""Which of all that a report found stands on top of it: at most five sentences."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import Finding, Section

MOST: Final = 5


def chosen(sections: Iterable[Section]) -> tuple[Finding, ...]:
    """The weightiest first, no two about the same thing, and never none.

    What weighs nothing (jobs.reports.weights.NOTHING_NEW) is said only where nothing else is.
    Among equals the order of the sections holds.
    """
    found: dict[str, Finding] = {}
    for one in sorted(_all(sections), key=lambda finding: -finding.weight):
        found.setdefault(one.key, one)
    weighty = [one for one in found.values() if one.weight > 0]
    return tuple((weighty or list(found.values()) or [_nothing()])[:MOST])


def _all(sections: Iterable[Section]) -> list[Finding]:
    return [finding for section in sections for finding in section.findings]


def _nothing() -> Finding:
    words = _("Nothing changed in this month that the numbers can show.")
    return Finding("nothing-new", words, 0.0)
