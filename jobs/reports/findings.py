"""Which of all that a report found stands on top of it: at most five sentences."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import Finding, Section
from jobs.reports.weights import sort_of

MOST: Final = 5


def matter(*, kind: str = "", supplier: str = "", batch: str = "") -> tuple[str, ...]:
    """What a finding is about: of a kind, a supplier, a batch, those that its jobs are told by.

    kind: the key of the component; batch: its number, given with its kind and supplier.
    """
    named = (("kind", kind), ("supplier", supplier), ("batch", batch))
    return tuple(f"{what}:{which}" for what, which in named if which)


def chosen(sections: Iterable[Section]) -> tuple[Finding, ...]:
    """The weightiest first, no two about the same jobs, and never none.

    A batch is part of its supplier and of its kind: where one finding is about a part of what
    another is about, they count the same jobs, and one of them is said. It is the one of the
    weightier sort (jobs.reports.weights), and of two of one sort the narrower, which says more.

    What weighs nothing (jobs.reports.weights.NOTHING_NEW) is said only where nothing else is.
    Among equals the order of the sections holds.
    """
    kept: list[Finding] = []
    for one in sorted(_all(sections), key=_rank):
        if not any(_same(one, other) for other in kept):
            kept.append(one)
    kept.sort(key=lambda finding: -finding.weight)
    weighty = [one for one in kept if one.weight > 0]
    return tuple((weighty or kept or [_nothing()])[:MOST])


def _rank(one: Finding) -> tuple[float, int, float]:
    """The weightier sort first, then the narrower matter, then the larger count."""
    return -sort_of(one.weight), -len(one.about), -one.weight


def _same(one: Finding, other: Finding) -> bool:
    if one.key == other.key:
        return True
    first, second = set(one.about), set(other.about)
    return bool(first and second) and (first <= second or second <= first)


def _all(sections: Iterable[Section]) -> list[Finding]:
    return [finding for section in sections for finding in section.findings]


def _nothing() -> Finding:
    words = _("Nothing changed in this month that the numbers can show.")
    return Finding("nothing-new", words, 0.0)
