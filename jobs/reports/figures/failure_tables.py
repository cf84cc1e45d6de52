"""The tables of all kinds: rates, by distance, survival to twelve months, what stands out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Shown, Way
from jobs.reports.figures.failure_groups import Group
from jobs.reports.figures.failure_words import (
    BLANK,
    MONTH,
    bracket_cells,
    by_distance,
    count,
    distance,
    number,
    percent,
    rate_cells,
    rate_columns,
    tally_cells,
)
from jobs.reports.queries.failures import Failures, NoFault
from jobs.reports.queries.kinds import Kind
from jobs.reports.queries.lives import Tally
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.stats.life_table import LifeTable, NoTable, life_table
from jobs.reports.stats.limits import share_limits
from jobs.reports.stats.weibull import NoFit, Pattern, WeibullFit, fit
from shop.tables import Column, Reads

HORIZON: Final = 12 * MONTH
LEAST_AT_RISK: Final = 5
LEVEL: Final = 0.05


@dataclass(frozen=True, slots=True)
class Curve:
    """How a kind fails with age: as it was counted, and the law that fits."""

    table: LifeTable | NoTable
    fit: WeibullFit | NoFit


def curves(found: Failures) -> dict[str, Curve]:
    return {key: Curve(life_table(counts), fit(counts)) for key, counts in found.ages.items()}


def patterns(found: Mapping[str, Curve]) -> dict[str, Pattern]:
    """How the chance of failing goes with age, of each kind with a law: falling or rising only
    where it is so after allowing for how many kinds were looked at."""
    fits = {key: one.fit for key, one in found.items() if isinstance(one.fit, WeibullFit)}
    adjusted = dict(zip(fits, benjamini_hochberg([fit.p for fit in fits.values()]), strict=True))
    return {
        key: fit.pattern if fit.pattern == "random" or adjusted[key] < LEVEL else "unclear"
        for key, fit in fits.items()
    }


def pattern_words(pattern: Pattern | None) -> str:
    """How the chance of failing goes with age; None: why that is not said."""
    if pattern is None:
        return _("too few to judge")
    return {
        "early": _("early: less and less"),
        "random": _("at any age alike"),
        "wear_out": _("wears out: more and more"),
        "unclear": _("open: its limits allow several"),
    }[pattern]


def _name(kind: Kind) -> Shown:
    return Shown(kind.name, kind.name, Way("failure-sheet", (kind.key,)))


def _component() -> Column:
    return Column(_("Component"), _("Each leads to all that is known of it."))


def rates(found: Failures, by_kind: Mapping[str, Tally]) -> ReportTable:
    rows = tuple(
        (_name(kind), *tally_cells(by_kind[kind.key], kind.key, found.until))
        for kind in found.kinds
        if kind.key in by_kind
    )
    note = _(
        "In the order of their names: put in the order of their rates, those with few units would "
        "stand first and last by luck. Limits are exact (Garwood), 95 %."
    )
    columns = (_component(), *rate_columns())
    return ReportTable("failure-rates", _("How often they fail, by time"), columns, rows, note)


def distances(found: Failures, by_kind: Mapping[str, Tally]) -> ReportTable:
    columns = (
        _component(),
        Column(_("Failures"), _("Of those whose distance is soundly known."), Reads.WHOLE),
        Column(
            _("100\u202f000 km"), _("For how far all units together were watched."), Reads.NUMBER
        ),
        Column(_("Rate"), _("Failures per 100\u202f000 km driven with a unit."), Reads.NUMBER),
        Column(_("From"), _("The lower of its exact 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its exact 95 % limits."), Reads.NUMBER),
        Column(
            _("Highest"),
            _("If every vehicle left after its last visit. Blank where none failed."),
            Reads.NUMBER,
        ),
        Column(
            _("Lowest"),
            _("If every vehicle went on to the last day. Blank where none failed."),
            Reads.NUMBER,
        ),
    )
    rows = tuple(
        (_name(kind), *_distance_cells(by_kind[kind.key]))
        for kind in found.kinds
        if kind.key in by_kind
    )
    note = _(
        "Beyond the last reading a vehicle is taken to go on as far a day as its readings say; "
        "with less than 30 days between them, as far as all vehicles together."
    )
    return ReportTable("failure-distances", _("How often they fail, by way"), columns, rows, note)


def _distance_cells(tally: Tally) -> tuple[Shown, ...]:
    way = tally.metres
    return (
        count(tally.failed_at_m),
        number(distance(tally), digits=4) if way.gap else BLANK,
        *rate_cells(by_distance(tally)),
        *bracket_cells(by_distance(tally, way.last), by_distance(tally, way.until)),
    )


def survival(
    found: Failures, lines: Mapping[str, Curve], by_kind: Mapping[str, Tally]
) -> ReportTable:
    columns = (
        _component(),
        Column(_("At 12 months, %"), _("How many of a hundred are still sound."), Reads.NUMBER),
        Column(_("From"), _("The lower of its 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its 95 % limits."), Reads.NUMBER),
        Column(_("At risk"), _("Units watched at that age."), Reads.WHOLE),
        Column(
            _("Seen from"),
            _(
                "The age in months from which at least ten units were watched; what is said "
                "holds for those that reached it."
            ),
            Reads.NUMBER,
        ),
        Column(
            _("One in ten failed by"),
            _("The age in months, of those that reached the age in the column before."),
            Reads.NUMBER,
        ),
        Column(
            _("With age"),
            _(
                "How the chance of failing goes with age, by a Weibull law, after allowing for how "
                "many components are looked at."
            ),
        ),
    )
    by_age = patterns(lines)
    rows = tuple(
        (_name(kind), *_survival_cells(lines[kind.key], by_age.get(kind.key)))
        for kind in found.kinds
        if kind.key in by_kind
    )
    note = _(
        "Counted by age since the vehicle went into service, or since the unit was fitted here "
        "(Kaplan-Meier, from the age at which a unit came into view). Blank where fewer than five "
        "are at risk at that age."
    )
    return ReportTable("failure-survival", _("How long they last"), columns, rows, note)


def tenth_by(table: LifeTable) -> float | None:
    """When one in ten has failed, of those that reached the beginning; None where it was not
    reached, or fewer than five were at risk then: one failure may have brought it about."""
    reached = table.reached(0.1)
    at = None if reached is None else table.at(reached)
    return reached if at is not None and at.at_risk >= LEAST_AT_RISK else None


def _survival_cells(curve: Curve, pattern: Pattern | None) -> tuple[Shown, ...]:
    words = Shown(pattern_words(pattern))
    if isinstance(curve.table, NoTable):
        return (BLANK, BLANK, BLANK, BLANK, BLANK, BLANK, words)
    table = curve.table
    start = number(table.starts_at / MONTH)
    reached = tenth_by(table)
    tenth = BLANK if reached is None else number(reached / MONTH)
    at = table.at(HORIZON)
    if at is None or at.at_risk < LEAST_AT_RISK:
        return (BLANK, BLANK, BLANK, BLANK, start, tenth, words)
    sound = (percent(at.survival), percent(at.low), percent(at.high), count(int(at.at_risk)))
    return (*sound, start, tenth, words)


def standing_out(groups: tuple[Group, ...]) -> tuple[ReportTable, ...]:
    if not groups:
        return ()
    columns = (
        _component(),
        Column(_("Supplier or batch"), _("Each leads to its jobs.")),
        Column(_("Units"), _("How many were watched."), Reads.WHOLE),
        Column(_("Failures"), _("How many of them failed here."), Reads.WHOLE),
        Column(_("Expected"), _("At the rate of the others at the same ages."), Reads.NUMBER),
        Column(
            _("By chance up to"),
            _("Of all failures there were, chance alone gives it more once in forty."),
            Reads.NUMBER,
        ),
    )
    rows = tuple(
        (
            _name(group.kind),
            Shown(group.name, group.name, group.way),
            count(group.tally.units),
            count(group.tally.failed, group.way),
            BLANK if group.expected is None else number(group.expected),
            number(group.screened.high),
        )
        for group in groups
    )
    note = _(
        "Each was held against all others of its kind at the same ages since fitting; of those "
        "named here at most one in twenty is so by chance on average (Benjamini and Hochberg)."
    )
    title = _("Suppliers and batches that stand out")
    return (ReportTable("failure-standing-out", title, columns, rows, note),)


def no_fault(found: Failures) -> tuple[ReportTable, ...]:
    if not found.no_fault:
        return ()
    columns = (
        Column(_("System"), _("What the complaint was about.")),
        Column(_("Answered"), _("Complaints that were answered and handed over."), Reads.WHOLE),
        Column(_("No fault found"), _("How many of them ended so."), Reads.WHOLE),
        Column(_("Share, %"), _("Of a hundred that were answered."), Reads.NUMBER),
        Column(_("From"), _("The lower of its exact 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its exact 95 % limits."), Reads.NUMBER),
    )
    rows = []
    every = NoFault(
        _("All"),
        sum(one.repairs for one in found.no_fault),
        sum(one.none_found for one in found.no_fault),
    )
    for one in (*found.no_fault, every):
        share = share_limits(one.none_found, one.repairs)
        rows.append(
            (
                Shown(one.system or _("No system named")),
                count(one.repairs),
                count(one.none_found),
                percent(share.share),
                percent(share.low),
                percent(share.high),
            )
        )
    note = _("By system, for where nothing was found no component is named.")
    title = _("Where nothing was found")
    return (ReportTable("failure-no-fault", title, columns, tuple(rows), note),)
