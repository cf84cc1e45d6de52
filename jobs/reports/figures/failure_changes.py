"""Whether a kind fails more, or less, often than it did: the last twelve months against before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from jobs.reports.document import Finding
from jobs.reports.figures.failure_words import MONTH, jobs_of
from jobs.reports.findings import matter
from jobs.reports.queries.failures import Failures
from jobs.reports.queries.kinds import Kind
from jobs.reports.queries.lives import Watched
from jobs.reports.stats.comparing import Compared, two_rates
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.weights import RATE, more
from shop.units import format_number

LEVEL = 0.05
FEWEST = 5
"""Of fewer failures altogether no change is told."""


@dataclass(frozen=True, slots=True)
class Change:
    """`adjusted`: the p-value after allowing for all kinds that were compared."""

    kind: Kind
    now: Watched
    before: Watched
    compared: Compared
    until: date
    adjusted: float

    @property
    def finding(self) -> Finding:
        words = self._words() % {
            "kind": self.kind.name,
            "now": self.now.failed,
            "now_months": format_number(self.now.days / MONTH, decimals=0),
            "before": self.before.failed,
            "before_months": format_number(self.before.days / MONTH, decimals=0),
        }
        weight = RATE + more(self.now.failed)
        way = jobs_of(self.kind.key, self.until)
        return Finding(f"rate-{self.kind.key}", words, weight, way, matter(kind=self.kind.key))

    def _words(self) -> str:
        if self.compared.ratio is None or self.compared.ratio > 1:
            return _(
                "%(kind)s failed more often in the last twelve months than before: %(now)d in "
                "%(now_months)s unit-months, against %(before)d in %(before_months)s. Vehicles "
                "that grow older may be the reason."
            )
        return _(
            "%(kind)s failed less often in the last twelve months than before: %(now)d in "
            "%(now_months)s unit-months, against %(before)d in %(before_months)s."
        )


def changes(found: Failures) -> tuple[Change, ...]:
    """Kinds whose rate changed by more than chance, after allowing for how many were compared."""
    rows = _compared(found)
    adjusted = benjamini_hochberg([compared.p for *_rest, compared in rows])
    return tuple(
        Change(*row, found.until, p) for row, p in zip(rows, adjusted, strict=True) if p < LEVEL
    )


def _compared(found: Failures) -> list[tuple[Kind, Watched, Watched, Compared]]:
    rows = []
    whole = found.tallies.by(lambda of: of.component)
    for kind in found.kinds:
        before = sum((found.before.get(one, Watched()) for one in kind.components), Watched())
        all_days = sum(whole[one].days.gap for one in kind.components if one in whole)
        failed = sum(whole[one].failed for one in kind.components if one in whole)
        now = Watched(failed - before.failed, all_days - before.days)
        if failed >= FEWEST and now.days > 0 and before.days > 0:
            compared = two_rates(now.failed, now.days, before.failed, before.days)
            rows.append((kind, now, before, compared))
    return rows
