"""Jobs by month: what came, what left, and how. Counts, not rates."""

from __future__ import annotations

from decimal import Decimal
from statistics import fmean

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.queries import office as queries
from jobs.queries.office import FigureRow, Months
from jobs.reports.document import Figure, ReportTable, Section, Shown, Span, Way
from jobs.reports.figures.spans import long, short, under_way
from shop.actor import Actor
from shop.charting import Axis, Bars, Chart, Role
from shop.tables import Column, Reads

KEY = "months"
_FEW = 10  # a month, of which the mean is told with a decimal


def section(actor: Actor, span: Span) -> Section:
    """Six months, the one of the span first. Nine queries."""
    counted = queries.months_up_to(actor, span.month, span.until)
    fitted = _fitted(actor, span)
    limits = [_("These are counts, not rates: small ones vary by luck.")]
    if under_way(span):
        limits.append(
            _("%(month)s is counted up to %(day)s: do not compare it with whole months.")
            % {"month": long(span.month), "day": date_format(span.until, "j F Y")}
        )
    any_job = any(count for row in counted.rows for _month, count in row.counts)
    return Section(
        KEY,
        _("Jobs by month"),
        says=_says(counted, span) if any_job else (_nothing(),),
        figures=_figures(counted, span),
        tables=(_table(counted), fitted) if any_job else (),
        limits=tuple(limits) if any_job else (),
    )


def _nothing() -> str:
    return _(
        "No job was taken in or released in these six months. The first vehicle that is taken in "
        "is counted here the same day."
    )


def _says(counted: Months, span: Span) -> tuple[str, ...]:
    rows = {row.key: [count for _month, count in row.counts] for row in counted.rows}
    came, left = rows["taken-in"], rows["released"]
    words = {"month": long(span.month), "came": came[0], "left": left[0]}
    if under_way(span):
        first = ngettext(
            "In %(month)s so far, %(came)d vehicle was taken in and %(left)d left.",
            "In %(month)s so far, %(came)d vehicles were taken in and %(left)d left.",
            came[0],
        )
    else:
        first = ngettext(
            "In %(month)s %(came)d vehicle was taken in and %(left)d left.",
            "In %(month)s %(came)d vehicles were taken in and %(left)d left.",
            came[0],
        )
    says = [first % words, _before(left[1:], came[1:])]
    days = dict(counted.days_in_shop)[counted.months[0]]
    if days is not None:
        says.append(
            ngettext(
                "The %(left)d that left had been here for %(days).1f days.",
                "The %(left)d that left had been here for %(days).1f days on average.",
                left[0],
            )
            % {"left": left[0], "days": days}
        )
    return tuple(says)


def _before(left: list[int], came: list[int]) -> str:
    """Of the months before this one, the latest first; those before the first job are none."""
    first = max((at for at, count in enumerate(came) if count), default=-1)
    lived = left[: first + 1]
    if not lived:
        return _("It is the first month with jobs.")
    mean = fmean(lived)
    text = ngettext(
        "In the month before %(high)d left.",
        "In the %(months)d months before, %(low)d to %(high)d a month left, %(mean)s on average.",
        len(lived),
    )
    return text % {
        "months": len(lived),
        "low": min(lived),
        "high": max(lived),
        "mean": f"{mean:.1f}" if mean < _FEW else f"{mean:.0f}",
    }


def _figures(counted: Months, span: Span) -> tuple[Figure, ...]:
    """None while no vehicle has left."""
    released = next(row for row in counted.rows if row.key == "released")
    if not any(count for _month, count in released.counts):
        return ()
    return (Figure(_chart(released, span)),)


def _chart(released: FigureRow, span: Span) -> Chart:
    bars = tuple((short(month), float(count)) for month, count in reversed(released.counts))
    return Chart(
        _("Vehicles that left, by month"),
        _left(released.counts[0][1], span),
        Axis(_("Month")),
        Axis(_("Vehicles"), zero=True),
        (Bars(_("Released"), bars, roles=_roles(len(bars), under_way=under_way(span))),),
    )


def _left(count: int, span: Span) -> str:
    if not count:
        return _("No vehicle left in %(month)s.") % {"month": long(span.month)}
    text = ngettext(
        "%(count)d vehicle left in %(month)s.", "%(count)d vehicles left in %(month)s.", count
    )
    return text % {"count": count, "month": long(span.month)}


def _roles(count: int, *, under_way: bool) -> tuple[Role, ...]:
    whole: Role = "value"
    last: Role = "soft" if under_way else whole
    return (*([whole] * (count - 1)), last)


def _table(counted: Months) -> ReportTable:
    columns = (
        Column(_("Counted"), _("what is counted")),
        *(Column(short(month), long(month), Reads.WHOLE) for month in counted.months),
    )
    meanings = " ".join(f"{row.label}: {row.meaning}" for row in counted.rows)
    rows = (*(_row(row) for row in counted.rows), _stay(counted))
    return ReportTable("jobs-by-month", _("Jobs by month"), columns, rows, note=meanings)


def _row(row: FigureRow) -> tuple[Shown, ...]:
    cells = (
        Shown(str(count), count, Way("office-jobs", (row.key, f"{month:%Y-%m}")) if count else None)
        for month, count in row.counts
    )
    return (Shown(str(row.label), str(row.label)), *cells)


def _stay(counted: Months) -> tuple[Shown, ...]:
    label = _("Mean days in the shop")
    cells = (
        Shown("–") if days is None else Shown(f"{days:.1f}", Decimal(f"{days:.1f}"))
        for _month, days in counted.days_in_shop
    )
    return (Shown(label, label), *cells)


def _fitted(actor: Actor, span: Span) -> ReportTable:
    since = queries.first_of(span.month)
    rows = tuple(
        (
            Shown(
                one.name,
                one.name,
                Way("office-component", (one.component,), f"month={span.month:%Y-%m}"),
            ),
            Shown(one.platform, one.platform),
            Shown(str(one.fitted), one.fitted),
            Shown(str(one.failed), one.failed),
        )
        for one in queries.replaced(actor, since, span.until)
    )
    columns = (
        Column(_("Assembly"), _("what was fitted; leads to its jobs")),
        Column(_("On"), _("the platform")),
        Column(_("Fitted"), _("how many in these six months"), Reads.WHOLE),
        Column(
            _("For a failed one"),
            _("how many of them took the place of one that had failed"),
            Reads.WHOLE,
        ),
    )
    note = _("How many of each are on the road is not in this table: see the failure rates.")
    return ReportTable(
        "assemblies-fitted", _("Assemblies fitted in these six months"), columns, rows, note
    )
