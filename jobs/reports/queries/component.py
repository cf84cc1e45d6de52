"""All that is known of how one kind of component fails, in a constant number of queries."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from jobs.reports.document import Span
from jobs.reports.queries import life_curves
from jobs.reports.queries.follow_up import Gap, residual_gap
from jobs.reports.queries.kinds import Kind, Modes, kind_of, modes_of
from jobs.reports.queries.life_places import Cohorts, Places, cohorts, places
from jobs.reports.queries.life_sql import lives_of
from jobs.reports.queries.lives import Tallies, Tally, tallies
from jobs.reports.stats.counts import Counts
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class OneKind:
    """`ages` in days, `ways` in 100 km. `platform`: the code of the only one that is counted, empty
    where all are."""

    kind: Kind
    until: date
    gap: Gap
    tallies: Tallies
    ages: Counts
    ways: Counts
    places: Places
    cohorts: Cohorts
    modes: Modes
    platform: str = ""

    @property
    def only(self) -> dict[str, str]:
        """What a way to its jobs is narrowed to."""
        return {"platform": self.platform} if self.platform else {}

    @property
    def whole(self) -> Tally:
        return sum(self.tallies.rows.values(), Tally())


def one_kind(actor: Actor, span: Span, key: str, platform: str = "") -> OneKind | None:
    """Of all platforms, or of the one with that code; None where there is no such kind.
    Eighteen queries at most."""
    kind = kind_of(key)
    if kind is None:
        return None
    if platform:
        some = {pk: code for pk, code in kind.platforms.items() if code == platform}
        kind = replace(kind, platforms=some)
    gap = residual_gap(actor.workshop, span.until)
    lives = lives_of(actor.workshop.pk, span.until, gap, kind.components)
    found = tallies(lives)
    kinds = dict.fromkeys(kind.components, key) or {0: key}
    return OneKind(
        kind,
        span.until,
        gap,
        found,
        life_curves.by_age(lives, kinds)[key],
        life_curves.by_distance(lives, kinds)[key],
        places(lives),
        cohorts(lives),
        modes_of(kind),
        platform,
    )
