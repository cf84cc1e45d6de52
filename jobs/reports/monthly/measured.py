"""How often the limits of the report held the truth, as a table on its page of methods."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Shown
from jobs.reports.stats.measured_limits import MEASURED, SHOPS, Coverage
from shop.tables import Column, Reads
from shop.units import spaced

FOLLOWED: Final = "level"
"""The way in which jobs.reports.queries.follow_up follows vehicles, as measured_limits names it."""

_BROKEN: Final = "half the failures wait for a visit"
_SHOP: Final = 1000  # vehicles of the shop for which the other ways are shown as well


def said() -> str:
    """What the table shows, in words; its numbers are worked out from the rows themselves."""
    used = [one for one in MEASURED if one.follow == FOLLOWED and not one.case]
    shares = [one for row in used for one in (row.rate, row.young, row.old) if one is not None]
    return _(
        "%(shops)s made-up shops of each size were drawn from laws that are known, with customers "
        "who stay away at random, and worked out as this report is. Limits of 95 %% held the truth "
        "in %(low)s to %(high)s %% of them, for the rate and for the share still sound. Followed "
        "only to the last visit, or as if every vehicle were sound to this day, they held it the "
        "less often the larger the shop: so that is not done, and both stand in the report as a "
        "bracket alone."
    ) % {
        "shops": spaced(SHOPS),
        "low": _percent(min(shares)),
        "high": _percent(max(shares)),
    }


def table() -> ReportTable:
    rows = [one for one in MEASURED if _told(one)]
    return ReportTable(
        key="measured-limits",
        title=_("In how many of a hundred shops limits of 95 % held the truth"),
        columns=(
            Column(_("Shop"), _("vehicles, and since how many months it has been open")),
            Column(_("Vehicles are followed"), _("beyond their last visit")),
            Column(_("Failures"), _("in one shop, on average"), Reads.NUMBER),
            Column(_("Rate found"), _("of a hundred of the true rate"), Reads.NUMBER),
            Column(_("Rate"), _("limits of the rate"), Reads.NUMBER),
            Column(_("1000 days"), _("limits of the share still sound then"), Reads.NUMBER),
            Column(_("2000 days"), _("limits of the share still sound then"), Reads.NUMBER),
        ),
        rows=tuple(_row(one) for one in rows),
        note=_(
            "What was drawn is simpler than life. Where half of the failures wait for the next "
            "visit, rates come out too low, and their limits hold the truth less often."
        ),
    )


def _told(one: Coverage) -> bool:
    """Every shop followed as here, one shop in the other ways as well, and what may be broken."""
    if one.case:
        return one.case == _BROKEN and one.follow == FOLLOWED
    return one.follow == FOLLOWED or (
        one.vehicles == _SHOP and one.follow in ("last_visit", "today")
    )


def _row(one: Coverage) -> tuple[Shown, ...]:
    months = round(one.days / 30.4375)
    shop = {"vehicles": spaced(one.vehicles), "months": months}
    words = _("%(vehicles)s vehicles, %(months)s months") % shop
    if one.case:
        words = _("%(shop)s; half the failures wait for a visit") % {"shop": words}
    return (
        Shown(words),
        Shown(_followed(one.follow)),
        Shown(f"{one.failures:.0f}", Decimal(f"{one.failures:.1f}")),
        *(_share(share) for share in (one.rate_is, one.rate, one.young, one.old)),
    )


def _followed(follow: str) -> str:
    if follow == "last_visit":
        return _("not at all")
    return _("to the last day counted") if follow == "today" else _("as in this report")


def _share(share: float | None) -> Shown:
    if share is None:
        return Shown("–")
    return Shown(_percent(share), Decimal(f"{100 * share:.1f}"))


def _percent(share: float) -> str:
    return f"{100 * share:.1f}".removesuffix(".0")
