"""Whether repairs come back more often than they did: the last ninety days against all before.

Repairs of last week and of last year are at different ages, so returns are held against what the
hazard of all brings at the same ages. All that were proposed count, in both times, whatever was
decided on them: young returns are not decided yet, and to hold them against old ones of which many
were decided away would find more of them where nothing changed but the time to decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import Finding, Way
from jobs.reports.queries.comebacks import Repairs
from jobs.reports.stats.comparing import Compared, two_rates
from jobs.reports.stats.expected import expected_since
from jobs.reports.weights import COMEBACKS, TREND, more
from shop.units import format_number

LATELY: Final = 90  # days
LEVEL: Final = 0.05
FEWEST: Final = 5
"""Of fewer returns altogether no change is told: our own advice."""


@dataclass(frozen=True, slots=True)
class Change:
    """`usual`: how many the rate of before would have brought lately, at the same ages."""

    lately: int
    usual: float
    compared: Compared

    @property
    def told(self) -> bool:
        return self.compared.p < LEVEL

    @property
    def worse(self) -> bool:
        return self.told and self.lately > self.usual

    @property
    def words(self) -> str:
        if not self.told:
            text = _(
                "%(lately)d returns were proposed in the last %(days)d days; at the rate of before "
                "it would have been %(usual)s: no more of a difference than chance gives."
            )
        elif self.worse:
            text = _(
                "More repairs come back than before: %(lately)d were proposed as returns in the "
                "last %(days)d days, where %(usual)s would have been usual for repairs as old."
            )
        else:
            text = _(
                "Fewer repairs come back than before: %(lately)d were proposed as returns in the "
                "last %(days)d days, where %(usual)s would have been usual for repairs as old."
            )
        usual = format_number(self.usual, digits=2)
        return text % {"lately": self.lately, "days": LATELY, "usual": usual}

    def finding(self, way: Way) -> Finding | None:
        """Of a change that is more than chance; that it got worse weighs more."""
        if not self.told:
            return None
        weight = (COMEBACKS if self.worse else TREND) + more(self.lately)
        return Finding("comebacks-changed", self.words, weight, way)


def change_of(found: Repairs) -> Change | None:
    """None where too few came back, or nothing was followed before, to compare."""
    found = found.as_proposed
    back = [group for group in found.groups if group.back is not None]
    total = sum(group.count for group in back)
    lately = sum(g.count for g in back if g.back is not None and g.back > g.handed - LATELY)
    now = expected_since(
        found.counts(),
        found.ends,
        [group.handed - LATELY for group in found.groups],
        [group.count for group in found.groups],
    )
    before = total - now
    if total < FEWEST or now <= 0 or before <= 0.5:
        return None
    compared = two_rates(lately, now, total - lately, before)
    return Change(lately, now * (total - lately) / before, compared)
