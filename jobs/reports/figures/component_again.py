"""Whether one kind fails again and again at the same place, once a unit was replaced there."""

from __future__ import annotations

from typing import Final

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.document import Figure, ReportTable, Section, Shown
from jobs.reports.figures.failure_words import BLANK, MONTH, count, number
from jobs.reports.queries.component import OneKind
from jobs.reports.queries.life_places import Places
from jobs.reports.stats.limits import rate_limits
from jobs.reports.stats.recurrence import Recurrence, mean_cumulative
from shop.charting import Axis, Band, Beneath, Chart, Line
from shop.tables import Column, Reads
from shop.units import format_number

KEY: Final = "component-again"
MONTHS: Final = (3, 6, 12, 24, 36)
LEAST_AT_RISK: Final = 5
_HALF_A_DAY: Final = 0.5


def section(found: OneKind) -> Section:
    title = _("Again and again at one place")
    places = found.places
    if not len(places.ends):
        return Section(KEY, title, says=(_("None was fitted here yet."),))
    again = _recurrence(places)
    return Section(
        KEY,
        title,
        says=(_says(places), *_most(places)),
        figures=(Figure(_chart(again, places)),) if len(again.t) else (),
        tables=(_table(again, places),) if len(again.t) else (),
        limits=(
            _("A place is watched from the day the first unit was fitted there by this workshop."),
            _("Limits allow for places that fail again being others than those that do not."),
        ),
    )


def _recurrence(places: Places) -> Recurrence:
    """A failure on the day of fitting counts as at half a day."""
    at = np.maximum(places.at, _HALF_A_DAY)
    ends = places.ends.astype(np.float64)
    np.maximum.at(ends, places.place, at)
    return mean_cumulative(np.zeros(len(ends)), ends, places.place, at)


def _says(places: Places) -> str:
    words = ngettext(
        "Of %(places)s place at which a unit was fitted here, %(again)s had another failure since.",
        "Of %(places)s places at which a unit was fitted here, %(again)s had another failure "
        "since.",
        len(places.ends),
    )
    return words % {
        "places": format_number(len(places.ends), decimals=0),
        "again": format_number(len(np.unique(places.place)), decimals=0),
    }


def _most(places: Places) -> tuple[str, ...]:
    often = np.bincount(places.place) if len(places.place) else np.zeros(0, dtype=np.int64)
    twice = int((often >= 2).sum())
    if not twice:
        return ()
    words = ngettext(
        "%(count)d place failed twice or more since.",
        "%(count)d places failed twice or more since.",
        twice,
    )
    return (words % {"count": twice},)


def _none_up_to(watched: int) -> float:
    """The upper 95 % limit of the failures of a place where none of so many had one."""
    return rate_limits(0, watched).high if watched else 0.0


def _watched(places: Places, days: float) -> int:
    return int((places.ends >= days).sum())


def _chart(again: Recurrence, places: Places) -> Chart:
    enough = again.at_risk >= LEAST_AT_RISK
    t = again.t[enough] / MONTH
    mean, low, high = (100 * one[enough] for one in (again.mean, again.low, again.high))
    line = [(0.0, 0.0)]
    # Before the first failure nothing is certain: the exact upper limit of none.
    band = [(0.0, 0.0, 100 * _none_up_to(_watched(places, float(again.t[0]))))]
    for x, value, lower, upper in zip(t, mean, low, high, strict=True):
        line += [(float(x), line[-1][1]), (float(x), float(value))]
        band += [(float(x), *band[-1][1:]), (float(x), float(lower), float(upper))]
    last = float(t[-1]) if len(t) else 1.0
    marks = np.linspace(0, last, 7)
    row = tuple((float(x), format_number(_watched(places, x * MONTH), decimals=0)) for x in marks)
    return Chart(
        _("Further failures of a hundred places"),
        _("At %(months)s months a hundred places have had %(mean)s further failures.")
        % {
            "months": format_number(last, digits=3),
            "mean": format_number(line[-1][1], digits=3),
        },
        Axis(_("Since the first was fitted here"), _("months"), zero=True),
        Axis(_("Further failures of a hundred places"), zero=True),
        (
            Band(_("95 % limits"), tuple(band), role="soft"),
            Line(_("further failures"), tuple(line)),
        ),
        beneath=Beneath(_("Places watched"), row),
    )


def _table(again: Recurrence, places: Places) -> ReportTable:
    columns = (
        Column(_("Months"), _("Since the first unit was fitted here."), Reads.WHOLE),
        Column(_("Further failures"), _("Of a hundred places, up to then."), Reads.NUMBER),
        Column(_("From"), _("The lower of its 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its 95 % limits."), Reads.NUMBER),
        Column(_("Places"), _("Watched for so long."), Reads.WHOLE),
    )
    rows = tuple(_row(again, places, months) for months in MONTHS)
    note = _(
        "Mean cumulative function with the robust variance of Lawless and Nadeau. Blank where "
        "fewer than five places were watched for so long."
    )
    return ReportTable(KEY, _("Again and again at one place"), columns, rows, note)


def _row(again: Recurrence, places: Places, months: int) -> tuple[Shown, ...]:
    days = months * MONTH
    watched = _watched(places, days)
    step = int(np.searchsorted(again.t, days, side="right")) - 1
    if watched < LEAST_AT_RISK:
        return (count(months), BLANK, BLANK, BLANK, count(watched))
    if step < 0:
        upper = number(100 * _none_up_to(watched))
        return (count(months), number(0.0), number(0.0), upper, count(watched))
    figures = (again.mean[step], again.low[step], again.high[step])
    return (count(months), *(number(100 * float(one)) for one in figures), count(watched))
