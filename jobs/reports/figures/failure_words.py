"""Numbers and sentences that all figures of failures share."""

from __future__ import annotations

from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from jobs.reports.document import Shown, Way
from jobs.reports.queries.lives import Tally
from jobs.reports.stats.limits import Rate, rate_if_any
from shop.tables import Column, Reads
from shop.units import format_number

MONTH: Final = 365.25 / 12  # days
PER_MONTHS: Final = 1_000  # a rate is told per so many unit-months
_PER_METRES: Final = 100_000_000.0  # and per 100 000 km
BLANK: Final = Shown("–")


def number(value: float, *, digits: int = 3, way: Way | None = None) -> Shown:
    """To so many figures as it is read; in a file as `in_file` has it."""
    return Shown(format_number(value, digits=digits), in_file(value), way)


def in_file(value: float) -> Decimal:
    """With four decimals; what is smaller than a tenth, with four figures: 0.00001234."""
    exact = Decimal(repr(float(value)))
    places = max(4, 3 - exact.adjusted()) if exact else 4
    return exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


def count(value: int, way: Way | None = None) -> Shown:
    """A whole number; nought leads nowhere."""
    return Shown(format_number(value, decimals=0), value, way if value else None)


def p_words(p: float) -> str:
    """With three decimals, a small one with four; never nought, which no p can be."""
    if p < 0.0001:
        return _("below 0.0001")
    return format_number(p, decimals=4 if p < 0.001 else 3)


def percent(share: float) -> Shown:
    return number(100 * share)


def months(tally: Tally) -> float:
    """The unit-months for which units were watched."""
    return tally.days.gap / MONTH


def by_months(tally: Tally, days: float | None = None) -> Rate | None:
    """Failures per 1000 unit-months; None where nothing was watched."""
    watched = tally.days.gap if days is None else days
    return rate_if_any(tally.failed, watched / MONTH / PER_MONTHS) if watched else None


def by_distance(tally: Tally, metres: float | None = None) -> Rate | None:
    """Failures per 100 000 km, of those whose distance is soundly known."""
    driven = tally.metres.gap if metres is None else metres
    return rate_if_any(tally.failed_at_m, driven / _PER_METRES) if driven else None


def distance(tally: Tally) -> float:
    """For how many times 100 000 km units were watched."""
    return tally.metres.gap / _PER_METRES


def rate_cells(rate: Rate | None) -> tuple[Shown, Shown, Shown]:
    """The rate and its limits, or blanks."""
    if rate is None:
        return BLANK, BLANK, BLANK
    return number(rate.rate), number(rate.low), number(rate.high)


def bracket_cells(*rates: Rate | None) -> tuple[Shown, ...]:
    """Blank where none failed, too: a nought would not be the highest that the rate may be."""
    return tuple(BLANK if rate is None or not rate.count else number(rate.rate) for rate in rates)


def said(rate: Rate) -> str:
    """2.10 (1.05 to 3.76)"""
    return _("%(rate)s (%(low)s to %(high)s)") % {
        "rate": format_number(rate.rate, digits=3),
        "low": format_number(rate.low, digits=3),
        "high": format_number(rate.high, digits=3),
    }


def jobs_of(key: str, until: date, **narrowed: str | int) -> Way:
    """To the units of a kind that failed up to a day: of one batch, supplier, place, mode or
    platform alone, or (first=1) those that had failed when first seen."""
    return Way("failure-jobs", (key,), urlencode(narrowed | {"until": until.isoformat()}))


def rate_columns() -> tuple[Column, ...]:
    """Units, failures, exposure in months, the rate with its limits and its bracket."""
    return (
        Column(_("Units"), _("How many were watched."), Reads.WHOLE),
        Column(_("Failures"), _("How many of them failed here."), Reads.WHOLE),
        Column(
            _("Failed at first sight"),
            _(
                "Units that had failed when they were first seen here, as the vehicle’s own or as "
                "somebody else’s: chosen by failing, so neither among the units nor in the rate."
            ),
            Reads.WHOLE,
        ),
        Column(_("Unit-months"), _("For how long all units together were watched."), Reads.NUMBER),
        Column(_("Rate"), _("Failures per 1000 unit-months."), Reads.NUMBER),
        Column(_("From"), _("The lower of its exact 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its exact 95 % limits."), Reads.NUMBER),
        Column(
            _("Highest"),
            _(
                "The rate if every vehicle left for good after its last visit. Blank where none "
                "failed: the upper limit says how high it may be."
            ),
            Reads.NUMBER,
        ),
        Column(
            _("Lowest"),
            _("The rate if every vehicle were sound to the last day. Blank where none failed."),
            Reads.NUMBER,
        ),
    )


def tally_cells(tally: Tally, key: str, until: date, **narrowed: str | int) -> tuple[Shown, ...]:
    """What `rate_columns` name, of a kind or a part of it; counts lead to their jobs."""
    return (
        count(tally.units),
        count(tally.failed, jobs_of(key, until, **narrowed)),
        count(tally.first_visit, jobs_of(key, until, first=1, **narrowed)),
        number(months(tally), digits=4) if tally.units else BLANK,
        *rate_cells(by_months(tally)),
        *bracket_cells(by_months(tally, tally.days.last), by_months(tally, tally.days.until)),
    )


def seldom_seen() -> tuple[str, ...]:
    """What no count of this workshop's own visits can show."""
    return (
        _("Failures that were repaired elsewhere are not seen: the true rates are higher."),
        _(
            "Only vehicles that come here are counted; those that are driven more, or are older, "
            "may come more often."
        ),
        _("A customer who stays away because of a failure looks like one who has none."),
    )
