"""Rates of many kinds as one picture, each with its limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.figures.failure_words import by_months
from jobs.reports.queries.kinds import Kind
from jobs.reports.queries.lives import Tally
from jobs.reports.stats.limits import Rate
from shop.charting import Axis, Bars, Chart

MOST: Final = 14


def rates_chart(kinds: Sequence[Kind], by_kind: Mapping[str, Tally]) -> Chart | None:
    """Those with the most failures, at most fourteen, in the order of their names.

    By the time they were watched those that fail would drop out first: a failed unit is watched
    no longer.
    """
    most = sorted(by_kind, key=lambda key: (-by_kind[key].failed, -by_kind[key].days.gap))[:MOST]
    rates = [(kind, by_months(by_kind[kind.key])) for kind in kinds if kind.key in most]
    known = [(kind, rate) for kind, rate in rates if rate is not None]
    if not any(rate.count for _kind, rate in known):
        return None
    # As exact as the table says them.
    bars = tuple((kind.name, float(f"{rate.rate:.3g}")) for kind, rate in known)
    limits = tuple((rate.low, rate.high) for _kind, rate in known)
    return Chart(
        _("Failures per 1000 unit-months"),
        _says([rate for _kind, rate in known], left_out=len(by_kind) - len(known)),
        Axis(_("Component")),
        Axis(_("Failures per 1000 unit-months"), zero=True),
        (Bars(_("rate"), bars, limits=limits),),
    )


def _says(rates: Sequence[Rate], *, left_out: int) -> str:
    """Where limits of two overlap, nothing is said of which of them fails more often."""
    words = _(
        "The line across the end of a bar goes from the lower to the upper 95 % limit: where such "
        "lines overlap, the order of the bars may be luck."
    )
    if not left_out:
        return words
    others = ngettext(
        "%(count)d with no more failures than these is in the table alone.",
        "%(count)d with no more failures than these are in the table alone.",
        left_out,
    )
    return f"{words} {others % {'count': left_out}}"
