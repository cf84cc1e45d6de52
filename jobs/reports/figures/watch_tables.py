"""The tables of the watch: kinds, batches, trends; and the picture of one watch."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.document import Figure, ReportTable, Shown, Way
from jobs.reports.figures.failure_words import BLANK, MONTH, PER_MONTHS, count, number, p_words
from jobs.reports.figures.watch_words import is_clear, name_of, said, way_of, way_of_alarm
from jobs.reports.figures.watched import (
    AFTER_MONTHS,
    BEFORE_MONTHS,
    Change,
    Family,
    Part,
    Picture,
    Watched,
)
from jobs.reports.queries.watch import Days
from jobs.reports.stats.comparing import P_IS, Compared, two_rates
from shop.charting import Axis, Chart, Level, Line, Table
from shop.tables import Column, Reads
from shop.units import format_number

_NUMBER, _WHOLE, _DATE = Reads.NUMBER, Reads.WHOLE, Reads.DATE
_YEAR = 365


def kinds(found: Picture) -> ReportTable:
    columns = (
        Column(_("Component"), _("Leads to all that is known of it.")),
        Column(_("Failures"), _("In the last 365 days."), _WHOLE),
        Column(_("Usual, up to"), _("In the same days, by its own earlier rate."), _NUMBER),
        *_level_columns(),
    )
    rows = tuple(
        (
            _sheet(one),
            count(int(one.days.failures[-_YEAR:].sum())),
            number(float(one.usual.expected[-_YEAR:].sum())),
            *_level_cells(found, one),
        )
        for one in found.kinds.watches
    )
    note = _height_note(found.kinds)
    return ReportTable("watched-components", _("Components under watch"), columns, rows, note)


def batches(found: Picture) -> ReportTable:
    """Those with at least two failures, or an alarm; the others are counted beneath."""
    shown = [
        one
        for one in found.batches.watches
        if one.days.failures.sum() > 1 or one.course.raised is not None
    ]
    columns = (
        Column(_("Batch"), _("Leads to its failed units.")),
        Column(_("Supplier"), _("As it stands on the units.")),
        Column(_("Component"), _("What kind of unit it is.")),
        Column(
            _("Failures"),
            _("That were watched when they failed, since the first was fitted."),
            _WHOLE,
        ),
        Column(_("Unit-months"), _("For how long its units were watched."), _NUMBER),
        Column(_("Rate"), _("Failures per 1000 unit-months."), _NUMBER),
        Column(_("The others"), _("The same of all other units of the kind."), _NUMBER),
        Column(_("Times"), _("The rate of the batch over that of the others."), _NUMBER),
        Column(_("From"), _("The lower limit of that, 95 %, mid-P."), _NUMBER),
        Column(_("To"), _("The upper limit of that."), _NUMBER),
        *_level_columns(),
    )
    rows = tuple(_batch(found, one) for one in shown)
    quiet = len(found.batches.watches) - len(shown)
    note = ngettext(
        "%(count)d more batch is watched, with at most one failure.",
        "%(count)d more batches are watched, with at most one failure each.",
        quiet,
    ) % {"count": quiet}
    notes = (_batches_note(), _height_note(found.batches), note if quiet else "")
    note = " ".join(one for one in notes if one)
    return ReportTable("watched-batches", _("Batches under watch"), columns, rows, note)


def changes(found: Picture) -> ReportTable:
    after, before = AFTER_MONTHS, BEFORE_MONTHS
    columns = (
        Column(_("Component"), _("Leads to all that is known of it.")),
        Column(_("Failures"), _("From the first day to the last counted."), _WHOLE),
        Column(_("Trend"), _("By the Laplace test on the clock of what was watched.")),
        Column(_("Its p"), _("Among all components (Benjamini and Hochberg)."), _NUMBER),
        Column(
            _("Last %(count)d months") % {"count": after},
            _("Failures in them, the month of the report among them."),
            _WHOLE,
        ),
        Column(_("Rate then"), _("Per 1000 unit-months."), _NUMBER),
        Column(
            _("The %(count)d before") % {"count": before},
            _("Failures in the months before those."),
            _WHOLE,
        ),
        Column(_("Rate before"), _("Per 1000 unit-months."), _NUMBER),
        Column(_("Times"), _("The later rate over the earlier."), _NUMBER),
        Column(_("From"), _("Its lower limit, 95 %, mid-P."), _NUMBER),
        Column(_("To"), _("Its upper limit."), _NUMBER),
        Column(_("p"), _("Of the comparison, among all components."), _NUMBER),
    )
    rows = tuple(_change(one) for one in found.changes)
    note = _(
        "Comparison: %(definition)s Both p are adjusted for how many components were looked at; "
        "the limits are those of each component alone: of twenty where nothing changed about one "
        "leaves out 1."
    ) % {"definition": _(P_IS)}
    title = _("Trends, and the last months against those before")
    return ReportTable("changes", title, columns, rows, note)


def figure(found: Picture, one: Watched) -> Figure:
    """The path of one watch, by the day, with the height at which it calls."""
    height = found.height_of(one)
    words = {
        "level": format_number(one.course.level, decimals=1),
        "height": format_number(height, decimals=1),
        "day": said(found.span.until),
    }
    if one.course.raised is None:
        says = _("On %(day)s it stood at %(level)s; at %(height)s it would call.") % words
    else:
        words["raised"] = said(found.day(one.course.raised))
        words["then"] = format_number(found.height_of(one, one.course.raised), decimals=1)
        says = _(
            "It came to %(then)s on %(raised)s, the height of that day, and stood at %(level)s on "
            "%(day)s."
        )
        says = says % words
    chart = Chart(
        _("Watch: %(what)s") % {"what": name_of(one.group)},
        says,
        Axis(_("Months before %(day)s") % {"day": words["day"]}),
        Axis(_("Level"), zero=True),
        (
            Line(_("Level"), _points(one)),
            Level(_("alarm at %(height)s now") % {"height": words["height"]}, height),
        ),
        table=_month_ends(found, one),
    )
    return Figure(chart, _rests_on(one))


def _rests_on(one: Watched) -> tuple[str, ...]:
    words = {
        "count": one.usual.failures,
        "months": format_number(one.usual.exposure / MONTH, decimals=0),
    }
    if one.group.batch:
        text = _(
            "Usual is what the other units of the kind did: %(count)d failures in %(months)s "
            "unit-months up to the last day."
        )
    else:
        text = _(
            "Usual is what the kind did before: %(count)d failures in %(months)s unit-months, of "
            "the first year here or up to half a year ago."
        )
    return (text % words,)


def _points(one: Watched) -> tuple[tuple[float, float], ...]:
    """Where the path turns; between those it is straight, or nearly."""
    path = one.course.path
    last = len(path) - 1
    return tuple(
        (round((at - last) / MONTH, 3), round(level, 4))
        for at, level in enumerate(path)
        if at in (0, last) or path[at - 1] < level or path[at + 1] > level or _lands(path, at)
    )


def _lands(path: tuple[float, ...], at: int) -> bool:
    return path[at] == 0 < path[at - 1]


def _month_ends(found: Picture, one: Watched) -> Table:
    rows = []
    for at, level in enumerate(one.course.path):
        day = found.day(one.course.from_day + at)
        if at == len(one.course.path) - 1 or found.day(one.course.from_day + at + 1).day == 1:
            rows.append((said(day), format_number(level, decimals=1)))
    return Table(_("At the end of each month"), (_("Day"), _("Level")), tuple(rows))


def _sheet(one: Watched | Change) -> Shown:
    return Shown(one.group.name, one.group.name, Way("failure-sheet", (one.group.key,)))


def _level_columns() -> tuple[Column, ...]:
    return (
        Column(_("Level"), _("Where the watch stood on the last day counted."), _NUMBER),
        Column(_("Alarm at"), _("The level at which it calls now."), _NUMBER),
        Column(_("Raised on"), _("The day of an alarm that stands."), _DATE),
        Column(_("Alarms before"), _("That were raised and came back to nought."), _WHOLE),
    )


def _level_cells(found: Picture, one: Watched) -> tuple[Shown, ...]:
    raised = one.course.raised
    day = None if raised is None else found.day(raised)
    return (
        number(one.course.level),
        number(found.height_of(one)),
        BLANK if day is None else Shown(said(day), day, way_of_alarm(found, one)),
        count(len(one.course.before)),
    )


def _batch(found: Picture, one: Watched) -> tuple[Shown, ...]:
    group = one.group
    mine = _part(one.days)
    whole = _part(one.whole)
    others = Part(whole.failures - mine.failures, whole.exposure - mine.exposure)
    return (
        Shown(group.batch, group.batch, way_of(found, group)),
        Shown(group.supplier or "–", group.supplier or None),
        Shown(group.name, group.name),
        count(mine.failures),
        number(mine.exposure / MONTH),
        _rate(mine),
        _rate(others),
        *_times(_against(mine, others)),
        *_level_cells(found, one),
    )


def _part(days: Days) -> Part:
    return Part(int(days.failures.sum()), float(days.exposure.sum()))


def _rate(part: Part) -> Shown:
    if not part.exposure:
        return BLANK
    return number(part.failures / (part.exposure / MONTH) * PER_MONTHS)


def _against(mine: Part, others: Part) -> Compared | None:
    if not (mine.exposure > 0 and others.exposure > 0 and mine.failures + others.failures):
        return None
    return two_rates(mine.failures, mine.exposure, others.failures, others.exposure)


def _times(compared: Compared | None) -> tuple[Shown, Shown, Shown]:
    if compared is None:
        return BLANK, BLANK, BLANK
    low, high = compared.low, compared.high
    return (
        BLANK if compared.ratio is None else number(compared.ratio),
        BLANK if low is None else number(low),
        BLANK if high is None else number(high),
    )


def _change(one: Change) -> tuple[Shown, ...]:
    return (
        _sheet(one),
        count(one.trend.events),
        Shown(_direction(one)),
        _p(one.adjusted),
        count(one.after.failures),
        _rate(one.after),
        count(one.before.failures),
        _rate(one.before),
        *_times(one.compared),
        _p(one.against),
    )


def _direction(one: Change) -> str:
    if one.adjusted is None:
        return _("too few to judge")
    if not is_clear(one):
        return _("none that shows")
    return _("more often") if one.trend.direction == "worsening" else _("less often")


def _p(p: float | None) -> Shown:
    return BLANK if p is None else Shown(p_words(p), number(p).value)


def _batches_note() -> str:
    return _(
        "Unit-months and rates are a little other than in the tables of failures: on each day a "
        "unit counts by how likely it is that its vehicle still comes, and of which vehicles came "
        "again later nothing is known; so visits made later hardly move an alarm. The limits are "
        "those of each batch alone, whatever the number of batches: of twenty that are like the "
        "others about one leaves out 1. It is the alarm that judges."
    )


def _height_note(family: Family) -> str:
    if family.height is None:
        return ""
    return _(
        "A rate twice as high would be called after about %(count)s failures on average. In a "
        "year up to %(usual)s failures would be usual over all of them; the height of an alarm "
        "grows with them, and each day has that of its own."
    ) % {
        "count": format_number(family.height.failures_to_call, decimals=0),
        "usual": format_number(family.height.a_year, decimals=0),
    }
