"""All that the figures of failures are made of, in a constant number of queries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q

from jobs.models import Repair
from jobs.reports.document import Span
from jobs.reports.queries import life_curves
from jobs.reports.queries.follow_up import YEAR, Gap, residual_gap
from jobs.reports.queries.kinds import Kind, kinds_of
from jobs.reports.queries.life_sql import lives_of
from jobs.reports.queries.lives import Tallies, Watched, tallies, watched
from jobs.reports.stats.counts import Counts
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class NoFault:
    """Complaints about a system that were answered, and how many with no fault found."""

    system: str
    repairs: int
    none_found: int


@dataclass(frozen=True, slots=True)
class Failures:
    """`before`: what had been watched of each component a year before the last day counted."""

    until: date
    kinds: tuple[Kind, ...]
    gap: Gap
    tallies: Tallies
    ages: Mapping[str, Counts]
    before: Mapping[int, Watched]
    no_fault: tuple[NoFault, ...]


def failures(actor: Actor, span: Span) -> Failures:
    """Of all components. Eighteen queries at most."""
    gap = residual_gap(actor.workshop, span.until)
    lives = lives_of(actor.workshop.pk, span.until, gap)
    kinds = kinds_of(actor)
    kind_of = {component: kind.key for kind in kinds for component in kind.components}
    year_ago = span.until - timedelta(days=YEAR)
    return Failures(
        span.until,
        kinds,
        gap,
        tallies(lives),
        life_curves.by_age(lives, kind_of),
        watched(
            lives_of(actor.workshop.pk, year_ago, gap, known=span.until),
            last=span.until.toordinal(),
            came=gap.to_year_ago,
        ),
        no_fault(actor, span.until),
    )


def no_fault(actor: Actor, until: date) -> tuple[NoFault, ...]:
    """By system, for a conclusion that found nothing names no component; "" where none was named
    with the complaint either. One query."""
    rows = (
        Repair.objects.of(actor)
        .filter(handed_day__lte=until.toordinal())
        .order_by("system__order", "system__key")
        .values_list("system__name")
        .annotate(repairs=Count("pk"), none=Count("pk", filter=Q(no_fault_found=True)))
    )
    found = [NoFault(name or "", repairs, none) for name, repairs, none in rows]
    return tuple(sorted(found, key=lambda one: not one.system))
