"""Failures by months in service, of units fitted here month by month: matured cohorts alone."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.document import ReportTable, Section, Shown
from jobs.reports.figures.failure_words import BLANK, count, number
from jobs.reports.queries.component import OneKind
from jobs.reports.queries.life_places import Cohorts
from jobs.reports.stats.triangle import Triangle, months_in_service
from shop.tables import Column, Reads
from shop.units import format_number

KEY: Final = "component-months"
COHORTS, MONTHS = 18, 12
LEAST: Final = 10
"""Of fewer units no share is told."""


def section(found: OneKind) -> Section:
    title = _("By month fitted, and months in service")
    known = found.cohorts
    if not len(known.sizes) or not known.sizes.sum():
        return Section(KEY, title, says=(_("None was fitted here yet."),))
    made = _triangle(known)
    tables = [_fitted(known)]
    if made is not None:
        tables.insert(0, _months(made))
    return Section(
        KEY,
        title,
        says=_says(known, made),
        tables=tuple(tables),
        limits=(
            _(
                "A unit counts in a month of its age for as long as it was followed in it: one "
                "whose vehicle stayed away leaves the count, and is not taken to be sound."
            ),
            _("A month of age is told only of units that were all fitted long enough ago for it."),
        ),
    )


def matured(known: Cohorts) -> tuple[np.ndarray, np.ndarray]:
    """Failures in months of age that all units of their cohort have behind them, and the last such
    month of each cohort (-1: none)."""
    last = known.reached - 1
    ages = np.arange(known.failed.shape[1])
    return np.where(ages[None, :] <= last[:, None], known.failed, 0), last


def _triangle(known: Cohorts) -> Triangle | None:
    failed, last = matured(known)
    if last.max() < 0:
        return None
    ages = int(last.max()) + 1
    made = months_in_service(known.followed[:, :ages], failed[:, :ages], last.tolist())
    return made if len(made.rate) else None


def _says(known: Cohorts, made: Triangle | None) -> tuple[str, ...]:
    fitted = int(known.sizes.sum())
    words = ngettext(
        "%(count)s unit was fitted here.", "%(count)s units were fitted here.", fitted
    ) % {"count": format_number(fitted, decimals=0)}
    if made is None:
        return (words, _("None of them is a month old yet."))
    at = min(MONTHS, len(made.rate)) - 1
    if made.reached[at] < LEAST:
        return (words, _("Too few of them are old enough to tell a share that failed."))
    told = ngettext(
        "Of a thousand, %(rate)s fail in their first %(months)d month in service "
        "(%(low)s to %(high)s).",
        "Of a thousand, %(rate)s fail in their first %(months)d months in service "
        "(%(low)s to %(high)s).",
        at + 1,
    )
    if made.cumulative[at] == 0:
        return (words, _("None of them failed in a month that all of its month have reached."))
    rate, low, high = (format_number(one, digits=3) for one in _of_a_thousand(made, at))
    figures = {"rate": rate, "low": low, "high": high, "months": at + 1}
    return (words, told % figures)


def _months(made: Triangle) -> ReportTable:
    columns = (
        Column(_("Month in service"), _("1: the first."), Reads.WHOLE),
        Column(
            _("Followed"),
            _("Unit-months in that month of age, of those all fitted long enough ago."),
            Reads.NUMBER,
        ),
        Column(_("Failures"), _("In that month of their age."), Reads.WHOLE),
        Column(_("Up to it"), _("Failures of a thousand units."), Reads.NUMBER),
        Column(_("From"), _("The lower of its 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its 95 % limits."), Reads.NUMBER),
    )
    rows = tuple(_month_row(made, at) for at in range(min(MONTHS, len(made.rate))))
    note = _(
        "Failures of each month over the units followed in it (Kalbfleisch, Lawless and "
        "Robinson). Blank with fewer than ten, or where nothing failed yet."
    )
    title = _("By months in service")
    return ReportTable("component-service-months", title, columns, rows, note)


def _month_row(made: Triangle, at: int) -> tuple[Shown, ...]:
    units, failed = float(made.reached[at]), int(made.failures[at])
    head = (count(at + 1), number(units), count(failed))
    if units < LEAST or made.cumulative[at] == 0:
        return (*head, BLANK, BLANK, BLANK)
    return (*head, *(number(one) for one in _of_a_thousand(made, at)))


def _of_a_thousand(made: Triangle, at: int) -> tuple[float, float, float]:
    """How many fail up to that month of age, with limits, of units that fail once: from the sum of
    the rates H the share is 1 - exp(-H). The sum itself may come to more than all of them."""
    sums = (made.cumulative[at], made.low[at], made.high[at])
    share, low, high = (-1000.0 * math.expm1(-float(one)) for one in sums)
    return share, low, high


def _fitted(known: Cohorts) -> ReportTable:
    """The last months in which any was fitted, the youngest last; months not reached are blank."""
    ages = (1, 3, 6, 12)
    columns = (
        Column(_("Fitted in"), _("The month."), Reads.DATE),
        Column(_("Units"), _("Fitted in that month."), Reads.WHOLE),
        *(
            Column(
                ngettext("In %(count)d month", "In %(count)d months", age) % {"count": age},
                _(
                    "Failures seen here up to that age; blank until all of them are as old. Of "
                    "those that stayed away none is known."
                ),
                Reads.WHOLE,
            )
            for age in ages
        ),
    )
    some = np.nonzero(known.sizes)[0][-COHORTS:]
    rows = tuple(_cohort_row(known, int(at), ages) for at in some)
    return ReportTable("component-cohorts", _("By month fitted"), columns, rows)


def _cohort_row(known: Cohorts, at: int, ages: tuple[int, ...]) -> tuple[Shown, ...]:
    first = known.first[at]
    cells = tuple(
        count(int(known.failed[at, :age].sum())) if known.reached[at] >= age else BLANK
        for age in ages
    )
    return (Shown(date_format(first, "M Y"), first), count(int(known.sizes[at])), *cells)
