"""The owner's month put together: every section, and the sentences on top."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from jobs.clocked import next_month
from jobs.reports.document import Report, Section, Span
from jobs.reports.figures import comebacks, failures, money, months, people, watch
from jobs.reports.findings import chosen
from shop import clock
from shop.actor import Actor
from shop.one_state import one_state


@dataclass(frozen=True, slots=True)
class Part:
    """A section by the key that stands in its address, and what makes it."""

    key: str
    build: Callable[[Actor, Span], Section]


PARTS: Final = (
    Part(months.KEY, months.section),
    Part(failures.KEY, failures.section),
    Part(comebacks.KEY, comebacks.section),
    Part(people.KEY, people.section),
    Part(watch.KEY, watch.section),
    Part(money.KEY, money.section),
)


def sections(actor: Actor, span: Span) -> tuple[Section, ...]:
    """All sections in their order, of one state of the books. A constant number of queries each."""
    with one_state():
        return tuple(part.build(actor, span) for part in PARTS)


def report(actor: Actor, span: Span) -> Report:
    made = sections(actor, span)
    return Report(actor.workshop.name, span, chosen(made), made)


def span_of(month: date) -> Span:
    """That month up to its last day, or up to today while it is under way."""
    first = month.replace(day=1)
    last = next_month(first) - timedelta(days=1)
    return Span(first, min(last, clock.today()))
