"""How long one kind lasts, by age and by distance: as counted, and as a law that fits."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.document import Figure, ReportTable, Section, Shown
from jobs.reports.figures.failure_tables import LEAST_AT_RISK, pattern_words, tenth_by
from jobs.reports.figures.failure_words import BLANK, MONTH, count, percent
from jobs.reports.queries.component import OneKind
from jobs.reports.stats.counts import Counts
from jobs.reports.stats.life_table import LifeTable, NoTable, SurvivalAt, life_table
from jobs.reports.stats.weibull import NoFit, WeibullFit, fit
from shop.charting import Axis, Band, Beneath, Chart, Layer, Level, Line
from shop.tables import Column, Reads
from shop.units import format_number

_POINTS, _BENEATH = 120, 7


@dataclass(frozen=True, slots=True)
class Clock:
    """`unit`: how many steps of the counts make one of what is shown. `steps`: how many make one of
    what is said, which `words` name; `law`: how the law is introduced."""

    key: str
    title: str
    axis: Axis
    unit: float
    horizons: tuple[float, ...]
    steps: float
    words: str
    law: str

    def said(self, time: float) -> str:
        """A time of the counts in words: "14.2 months", "9100 km"."""
        return self.words % {"at": format_number(time / self.steps, digits=3)}


def _by_age() -> Clock:
    axis = Axis(_("Age"), _("months"))
    law = _("With age: %(pattern)s")
    marks = (6, 12, 24, 36, 60, 96, 120)
    title = _("How long it lasts, by age")
    return Clock("age", title, axis, MONTH, marks, MONTH, _("%(at)s months"), law)


def _by_distance() -> Clock:
    axis = Axis(_("Driven"), "1000 km")
    far = (10, 20, 40, 60, 100, 150, 200)
    law = _("With distance: %(pattern)s")
    title = _("How long it lasts, by distance")
    return Clock("distance", title, axis, 10.0, far, 0.01, _("%(at)s km"), law)


def by_age(found: OneKind) -> Section:
    whole = found.whole
    limits = []
    if whole.no_age:
        words = ngettext(
            "Of %(count)s unit the age is not known; it is not counted here.",
            "Of %(count)s units the age is not known; they are not counted here.",
            whole.no_age,
        )
        limits.append(words % {"count": format_number(whole.no_age, decimals=0)})
    limits.append(
        _(
            "A unit that came with its vehicle is taken to be as old as the vehicle: that it was "
            "replaced elsewhere before it first came here is not known."
        )
    )
    limits.append(
        _(
            "At low ages nearly all are units that were fitted here, at high ages those that came "
            "with their vehicles: a bad batch fitted here lowers the whole curve from its first "
            "months on."
        )
    )
    return _section(_by_age(), found.ages, tuple(limits))


def by_distance(found: OneKind) -> Section:
    limits = (
        _("Distances are counted to whole 100 km."),
        _("Where an odometer went backwards, the distance ends at the last sound reading."),
    )
    return _section(_by_distance(), found.ways, limits)


def _section(clock: Clock, counts: Counts, limits: tuple[str, ...]) -> Section:
    table, law = life_table(counts), fit(counts)
    key = f"component-{clock.key}"
    if isinstance(table, NoTable):
        return Section(key, clock.title, says=(_too_few(counts),), limits=limits)
    return Section(
        key,
        clock.title,
        says=(*_says(clock, table), *_law_says(clock, law)),
        figures=(Figure(_chart(clock, table, law), _begins(clock, table)),),
        tables=(_table(clock, table, law),),
        limits=limits,
    )


def _too_few(counts: Counts) -> str:
    if not counts.lives:
        return _("No unit was watched at a known age or distance yet.")
    return _("Never were ten watched at one time of their lives: too few for a curve.")


def _says(clock: Clock, table: LifeTable) -> tuple[str, ...]:
    reached = tenth_by(table)
    if reached is None:
        if table.reached(0.1) is not None:
            return (
                _("Fewer than five were left when one in ten had failed: too few to say when."),
            )
        tenth = _("The units watched do not reach the %(unit)s by which one in ten has failed.")
        return (tenth % {"unit": _("age") if clock.key == "age" else _("distance")},)
    words = {"at": clock.said(reached), "from": clock.said(table.starts_at)}
    if table.starts_at > 0:
        return (_("Of those that reached %(from)s, one in ten has failed by %(at)s.") % words,)
    return (_("One in ten has failed by %(at)s.") % words,)


def _law_says(clock: Clock, law: WeibullFit | NoFit) -> tuple[str, ...]:
    if isinstance(law, NoFit):
        return (_("Too few failures, or too close together, to say what law they follow."),)
    words = {
        "pattern": clock.law % {"pattern": pattern_words(law.pattern)},
        "shape": format_number(law.shape, digits=3),
        "low": format_number(law.shape_low, digits=3),
        "high": format_number(law.shape_high, digits=3),
        "scale": _scale(clock, law),
        "failures": law.failures,
    }
    return (
        _(
            "%(pattern)s (Weibull shape %(shape)s, %(low)s to %(high)s; %(scale)s; "
            "%(failures)d failures)."
        )
        % words,
    )


def _scale(clock: Clock, law: WeibullFit) -> str:
    if not law.scale_is_known:
        return _("scale far beyond what was watched, and not known")
    return _("scale %(scale)s, %(low)s to %(high)s") % {
        "scale": clock.said(law.scale),
        "low": clock.said(law.scale_low),
        "high": clock.said(law.scale_high),
    }


def _begins(clock: Clock, table: LifeTable) -> tuple[str, ...]:
    """Where the curve begins, and of whom it speaks then."""
    if table.starts_at <= 0:
        return ()
    return (
        _(
            "Fewer than ten were watched before %(at)s: the curve begins there, and "
            "speaks of those that reached it."
        )
        % {"at": clock.said(table.starts_at)},
    )


def _chart(clock: Clock, table: LifeTable, law: WeibullFit | NoFit) -> Chart:
    seen = _seen(clock, table)
    line = _stepped([(x, (100 * at.survival,)) for x, at in seen])
    band = _stepped([(x, (100 * at.low, 100 * at.high)) for x, at in seen])
    layers: list[Layer] = [
        Band(_("95 % limits"), tuple((x, low, high) for x, (low, high) in band), role="soft"),
        Line(_("as counted"), tuple((x, value) for x, (value,) in line)),
    ]
    if isinstance(law, WeibullFit):
        layers.append(Line(_("Weibull law"), _law_line(clock, table, law), "second"))
    layers.append(Level(_("one in ten failed"), 90.0))
    every = max(1, len(seen) // _BENEATH)
    row = Beneath(
        _("At risk"),
        tuple((x, format_number(at.at_risk, decimals=0)) for x, at in seen[::every]),
    )
    return Chart(
        clock.title,
        _chart_says(clock, table, seen),
        clock.axis,
        Axis(_("Still sound"), "%", high=100.0),
        tuple(layers),
        beneath=row,
    )


def _seen(clock: Clock, table: LifeTable) -> list[tuple[float, SurvivalAt]]:
    """Where the curve stands, from its beginning to its end in even steps."""
    length = table.ends_at - table.starts_at
    points = []
    for at in range(_POINTS + 1):
        time = table.starts_at + length * at / _POINTS
        found = table.at(time)
        if found is not None:
            points.append((time / clock.unit, found))
    return points


def _stepped(
    points: list[tuple[float, tuple[float, ...]]],
) -> list[tuple[float, tuple[float, ...]]]:
    """Level from point to point, then straight down."""
    drawn: list[tuple[float, tuple[float, ...]]] = []
    for x, values in points:
        if drawn and drawn[-1][1] != values:
            drawn.append((x, drawn[-1][1]))
        drawn.append((x, values))
    return drawn


def _law_line(clock: Clock, table: LifeTable, law: WeibullFit) -> tuple[tuple[float, float], ...]:
    """Of those that reached the beginning of the curve."""
    begin = float(law.survival(table.starts_at))
    length = table.ends_at - table.starts_at
    times = [table.starts_at + length * at / 60 for at in range(61)]
    return tuple((t / clock.unit, 100 * float(law.survival(t)) / begin) for t in times)


def _chart_says(clock: Clock, table: LifeTable, seen: list[tuple[float, SurvivalAt]]) -> str:
    """Of the last place at which enough were at risk to say anything."""
    enough = [(x, at) for x, at in seen if at.at_risk >= LEAST_AT_RISK]
    if not enough:
        return _("Fewer than five were at risk all along: the limits say how little is known.")
    x, at = enough[-1]
    words = {
        "at": clock.said(x * clock.unit),
        "from": clock.said(table.starts_at),
        "share": format_number(100 * at.survival, digits=3),
        "low": format_number(100 * at.low, digits=3),
        "high": format_number(100 * at.high, digits=3),
    }
    if table.starts_at > 0:
        text = _(
            "Of those that reached %(from)s, %(share)s %% are still sound at %(at)s (%(low)s to "
            "%(high)s)."
        )
    else:
        text = _("At %(at)s, %(share)s %% are still sound (%(low)s to %(high)s).")
    return text % words


def _table(clock: Clock, table: LifeTable, law: WeibullFit | NoFit) -> ReportTable:
    columns = (
        Column(f"{clock.axis.label}, {clock.axis.unit}", "", Reads.WHOLE),
        Column(_("Still sound, %"), _("As counted (Kaplan-Meier)."), Reads.NUMBER),
        Column(_("From"), _("The lower of its 95 % limits (log-log)."), Reads.NUMBER),
        Column(_("To"), _("The upper of its 95 % limits (log-log)."), Reads.NUMBER),
        Column(_("At risk"), _("Units watched there."), Reads.WHOLE),
        Column(_("By the law, %"), _("Still sound by the Weibull law that fits."), Reads.NUMBER),
    )
    rows = tuple(_row(clock, table, law, at) for at in clock.horizons)
    note = _("Blank where the units watched do not reach, or fewer than five are at risk.")
    return ReportTable(f"component-{clock.key}", clock.title, columns, rows, note)


def _row(clock: Clock, table: LifeTable, law: WeibullFit | NoFit, at: float) -> tuple[Shown, ...]:
    time = at * clock.unit
    found = table.at(time)
    name = count(int(at))
    if found is None or found.at_risk < LEAST_AT_RISK:
        return (name, BLANK, BLANK, BLANK, BLANK, BLANK)
    by_law = BLANK
    if isinstance(law, WeibullFit):
        by_law = percent(float(law.survival(time)) / float(law.survival(table.starts_at)))
    return (
        name,
        percent(found.survival),
        percent(found.low),
        percent(found.high),
        count(int(found.at_risk)),
        by_law,
    )
