"""How long repairs hold: the share that has not come back, by kind, class and supplier.

Not returns over repairs: last month's repairs have not had their time to come back yet, so each
counts for as long as it was followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final
from urllib.parse import urlencode

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.models import CauseClass
from jobs.queries.returns import METRES
from jobs.queries.returns_page import COUNTED, NO_KIND, NOT_DECIDED
from jobs.reports.document import Figure, Finding, ReportTable, Section, Shown, Span, Way
from jobs.reports.figures.comeback_change import LATELY, change_of
from jobs.reports.figures.failure_words import BLANK, count, number
from jobs.reports.queries.comebacks import Classes, Repairs, classes, repairs
from jobs.reports.queries.kinds import names_of
from jobs.reports.stats.life_table import LifeTable, NoTable, SurvivalAt, life_table
from jobs.reports.weights import UNDECIDED, more
from shop import units
from shop.actor import Actor
from shop.charting import Axis, Band, Beneath, Chart, Line
from shop.models import Workshop
from shop.tables import Column, Reads
from shop.units import format_number

KEY: Final = "comebacks"
HORIZONS: Final = (30, 90, 365)
LEAST_AT_RISK: Final = 5
"""Still followed at a horizon, with fewer of which nothing is told: our own advice."""
_SAID: Final = 90  # days, in the first sentence; fewer where the window is shorter
_UNTIL_TODAY: Final = 10_000_000  # days
_POINTS, _BENEATH = 365, 6


@dataclass(frozen=True, slots=True)
class Window:
    """For how many days after hand-over, and how far in words, the rule takes a return for one.

    Beyond that nothing comes back by the rule, so nothing is told there: that nobody came back
    would be no more than the rule.
    """

    days: int
    far: str


@dataclass(frozen=True, slots=True)
class Held:
    """What a part of the repairs is called, and how it held."""

    name: str
    repairs: Repairs
    way: Way | None = None


def section(actor: Actor, span: Span) -> Section:
    """Of all repairs handed over up to the last day counted. Six queries."""
    found, by_class = repairs(actor, span.until), classes(actor, span.month, span.until)
    return made(found, by_class, names_of(actor), span.month, _window(actor.workshop))


def _window(workshop: Workshop) -> Window:
    unit = workshop.distance_unit
    far = units.from_si(workshop.comeback_km * METRES, unit)
    return Window(workshop.comeback_days, units.with_unit(format_number(far, decimals=0), unit))


def made(
    found: Repairs, by_class: Classes, names: dict[str, str], month: date, window: Window
) -> Section:
    """The section of what was counted; nothing is read any more."""
    title = _("Repairs that came back")
    if not found.count:
        return Section(KEY, title, says=(_nothing(),))
    table = _curve(found)
    chart = _chart(table, window.days) if isinstance(table, LifeTable) else None
    waiting, change = by_class.ever[""], change_of(found)
    changed = change.finding(lately(found.until)) if change else None
    return Section(
        KEY,
        title,
        says=(_says(found, table, window), *((change.words,) if change else ()), *_waits(waiting)),
        figures=(Figure(chart, (_of_whom(),)),) if chart else (),
        tables=(
            *_three(found, names, window),
            _causes(by_class, found.until, month),
        ),
        limits=(*_limits(found, window), *((_how_compared(),) if change else ())),
        findings=(*_findings(waiting, found.until), *((changed,) if changed else ())),
    )


def _three(found: Repairs, names: dict[str, str], window: Window) -> tuple[ReportTable, ...]:
    """All repairs, by kind and by supplier."""
    every = _("Repairs that have not come back")
    return (
        _shares("comebacks", every, _("Repairs"), _all(found), window),
        _shares(
            "comebacks-by-kind", _("By component"), _("Component"), _kinds(found, names), window
        ),
        _shares(
            "comebacks-by-supplier", _("By supplier"), _("Supplier"), _suppliers(found), window
        ),
    )


def listed(until: date, cause: str, **narrowed: str | int) -> Way:
    """To the list of returns as known at the end of a day: of a class or some, a kind, a supplier,
    who fitted or who named the cause; `first`: of each repair the first alone."""
    return Way("returns", (), urlencode({"cause": cause, **narrowed, "until": until.isoformat()}))


def lately(until: date) -> Way:
    since = until - timedelta(days=LATELY - 1)
    return listed(until, "", since=since.isoformat(), first="proposed")


def _nothing() -> str:
    return _(
        "No repair was handed over yet. From the first release on, each repair is followed here "
        "until it comes back or its vehicle is no longer seen."
    )


def _curve(found: Repairs) -> LifeTable | NoTable:
    return life_table(found.counts(), at_least=LEAST_AT_RISK)


def _told(table: LifeTable | NoTable, days: int, window: int) -> SurvivalAt | None:
    """The share at a horizon; None where too few are still followed to tell it, or the rule takes
    nothing for a return so late."""
    at = table.at(days) if isinstance(table, LifeTable) and days <= window else None
    return at if at is not None and at.at_risk >= LEAST_AT_RISK else None


def _says(found: Repairs, table: LifeTable | NoTable, window: Window) -> str:
    days = min(_SAID, window.days)
    at = _told(table, days, window.days)
    if at is None:
        text = ngettext(
            "%(repairs)s repair was handed over; too few have been followed for %(days)d days to "
            "say how many hold so long.",
            "%(repairs)s repairs were handed over; too few have been followed for %(days)d days "
            "to say how many hold so long.",
            found.count,
        )
        return text % {"repairs": format_number(found.count, decimals=0), "days": days}
    return _(
        "Of %(repairs)s repairs %(share)s %% have not come back within %(days)d days (%(low)s to "
        "%(high)s %% fit that; %(risk)s were still followed then)."
    ) % {
        "repairs": format_number(found.count, decimals=0),
        "days": days,
        "share": _percent(at.survival),
        "low": _percent(at.low),
        "high": _percent(at.high),
        "risk": format_number(at.at_risk, decimals=0),
    }


def _waits(waiting: int) -> tuple[str, ...]:
    if not waiting:
        return ()
    text = ngettext(
        "%(count)d return waits for its decision; until then it counts as a comeback.",
        "%(count)d returns wait for their decision; until then they count as comebacks.",
        waiting,
    )
    return (text % {"count": waiting},)


def _findings(waiting: int, until: date) -> tuple[Finding, ...]:
    if not waiting:
        return ()
    text = ngettext(
        "%(count)d return waits, and nobody has decided yet whether it is a comeback.",
        "%(count)d returns wait, and nobody has decided yet whether they are comebacks.",
        waiting,
    )
    words = text % {"count": waiting}
    way = listed(until, NOT_DECIDED)
    return (Finding("undecided", words, UNDECIDED + more(waiting), way),)


def _chart(table: LifeTable, window: int) -> Chart | None:
    last = int(min(table.ends_at, _POINTS))
    seen = [(day, at) for day in range(last + 1) if (at := _told(table, day, window)) is not None]
    if len(seen) < 2:
        return None
    every = max(1, len(seen) // _BENEATH)
    low = min(at.low for _day, at in seen)
    return Chart(
        _("Repairs that have not come back"),
        _("After %(days)d days %(share)s %% have not come back.")
        % {"days": seen[-1][0], "share": _percent(seen[-1][1].survival)},
        Axis(_("Days after hand-over")),
        Axis(_("Not come back"), "%", low=max(0.0, 10 * (100 * low // 10) - 5), high=100.0),
        (
            Band(
                _("95 % limits"),
                tuple((float(day), 100 * at.low, 100 * at.high) for day, at in seen),
                role="soft",
            ),
            Line(_("as counted"), tuple((float(day), 100 * at.survival) for day, at in seen)),
        ),
        beneath=Beneath(
            _("Followed"),
            tuple((float(day), format_number(at.at_risk, decimals=0)) for day, at in seen[::every]),
        ),
    )


def _all(found: Repairs) -> list[Held]:
    return [Held(_("All repairs"), found, listed(found.until, COUNTED, first=COUNTED))]


def _kinds(found: Repairs, names: dict[str, str]) -> list[Held]:
    """In the order of their names; what was repaired without a component last."""
    called = {group.kind: names.get(group.kind, group.kind) for group in found.groups}
    keys = sorted(called, key=lambda key: (not key, called[key].casefold(), key))
    return [
        Held(
            called[key] or _("No component concluded"),
            found.where(lambda group, key=key: group.kind == key),  # type: ignore[misc]
            listed(found.until, COUNTED, kind=key or NO_KIND, first=COUNTED),
        )
        for key in keys
    ]


def _suppliers(found: Repairs) -> list[Held]:
    names = sorted({group.supplier for group in found.groups if group.supplier}, key=str.casefold)
    return [
        Held(
            name,
            found.where(lambda group, name=name: group.supplier == name),  # type: ignore[misc]
            listed(found.until, COUNTED, supplier=name, first=COUNTED),
        )
        for name in names
    ]


def _shares(key: str, title: str, of: str, rows: Sequence[Held], window: Window) -> ReportTable:
    columns = [
        Column(of, _("What the row is about.")),
        Column(_("Repairs"), _("Handed over up to the last day counted."), Reads.WHOLE),
        Column(_("Came back"), _("Comebacks, the undecided among them."), Reads.WHOLE),
    ]
    for days in HORIZONS:
        words = _("Percent that had not come back after so many days.")
        columns += [
            Column(_("%(days)d days, %%") % {"days": days}, words, Reads.NUMBER),
            Column(_("From"), _("The lower of its 95 % limits."), Reads.NUMBER),
            Column(_("To"), _("The upper of its 95 % limits."), Reads.NUMBER),
            Column(_("Followed"), _("How many were still followed then."), Reads.WHOLE),
        ]
    note = _(
        "A dash: fewer than five were still followed then, too few to tell, or it is beyond the "
        "%(days)d days within which a return may be one here. Each repair counts for as long as it "
        "was followed; a same-day return counts as half a day."
    ) % {"days": window.days}
    cells = tuple(_row(one, window.days) for one in rows)
    return ReportTable(key, title, tuple(columns), cells, note)


def _row(held: Held, window: int) -> tuple[Shown, ...]:
    table = _curve(held.repairs)
    cells = [
        Shown(held.name, held.name),
        count(held.repairs.count),
        count(held.repairs.returns(), held.way),
    ]
    for days in HORIZONS:
        at = _told(table, days, window)
        if at is None:
            cells += [BLANK] * 4
        else:
            shares = (number(100 * share) for share in (at.survival, at.low, at.high))
            cells += [*shares, count(at.at_risk)]
    return tuple(cells)


def _causes(by_class: Classes, until: date, month: date) -> ReportTable:
    columns = (
        Column(_("Class"), _("What the service manager decided.")),
        Column(_("This month"), _("Returns that came in within the month."), Reads.WHOLE),
        Column(_("Up to now"), _("All returns up to the last day counted."), Reads.WHOLE),
        Column(_("Counts"), _("Whether it counts as a comeback.")),
    )
    named = [("", _("not decided yet"))]
    named += [(value, str(label)) for value, label in CauseClass.choices]
    within = f"{month:%Y-%m}"
    rows = tuple(
        (
            Shown(name, name),
            count(by_class.month[cause], listed(until, cause or NOT_DECIDED, month=within)),
            count(by_class.ever[cause], listed(until, cause or NOT_DECIDED)),
            _yes(cause not in (CauseClass.NOT_OURS, CauseClass.UNRELATED)),
        )
        for cause, name in named
    )
    return ReportTable("comebacks-by-class", _("By class"), columns, rows)


def _yes(counts: bool) -> Shown:
    words = _("yes") if counts else _("no")
    return Shown(words, words)


def _of_whom() -> str:
    return _(
        "The curve ends where fewer than five are still followed, or with the days within which a "
        "return may be one here."
    )


def _how_compared() -> str:
    return _(
        "Lately and before are compared by the exact test given the sum of both, two-sided p by "
        "doubling the smaller tail with the outcome seen counted by half; a change is told below "
        "5 %, so one month in twenty may tell one that is chance."
    )


def _limits(found: Repairs, window: Window) -> tuple[str, ...]:
    shares, days = [], min(_SAID, window.days)
    for gap in (0, _UNTIL_TODAY):
        table = life_table(found.counts(gap=gap), at_least=LEAST_AT_RISK)
        shares.append(_told(table, days, window.days))
    bracket: tuple[str, ...] = ()
    if all(shares):
        low, high = (_percent(at.survival) for at in shares if at is not None)
        bracket = (
            _(
                "Followed to the last visit alone, %(low)s %% would have held for %(days)d days; "
                "if every vehicle had come here with whatever failed up to the last day, "
                "%(high)s %%."
            )
            % {"low": low, "high": high, "days": days},
        )
    return (
        found.gap.words,
        *bracket,
        _("Who takes a failed repair elsewhere is not seen: fewer may hold than it seems."),
        _(
            "A comeback is what a person decided; the rule only proposes: the same component or "
            "system, within %(days)d days and %(far)s. What came back later, or had gone further, "
            "counts only where somebody put it in."
        )
        % {"days": window.days, "far": window.far},
    )


def _percent(share: float) -> str:
    return format_number(100 * share, digits=3)
