"""How often one kind fails: as a whole, by platform, place, supplier, batch and failure mode."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import Position
from jobs.reports.document import ReportTable, Section, Shown
from jobs.reports.figures.failure_groups import Group, batches, judged_words, suppliers
from jobs.reports.figures.failure_words import (
    BLANK,
    MONTH,
    by_distance,
    by_months,
    count,
    jobs_of,
    months,
    number,
    p_words,
    percent,
    rate_columns,
    said,
    seldom_seen,
    tally_cells,
)
from jobs.reports.queries.component import OneKind
from jobs.reports.queries.lives import Tally
from jobs.reports.stats.comparing import two_rates
from jobs.reports.stats.limits import share_limits
from shop.tables import Column, Reads
from shop.units import format_number


def section(found: OneKind) -> Section:
    by_supplier = suppliers(found.kind, found.tallies, found.until)
    by_batch = batches(found.kind, found.tallies, found.until)
    tables = (
        _platforms(found),
        _positions(found),
        _groups(found, "component-suppliers", _("By supplier"), _("Supplier"), by_supplier),
        _groups(found, "component-batches", _("By batch"), _("Batch"), by_batch),
        _modes(found),
    )
    return Section(
        "component-rates",
        _("How often it fails"),
        says=(*_says(found), *_two(by_supplier), *_two(by_batch)),
        tables=tuple(table for table in tables if table.rows),
        limits=(found.gap.words, *_compared_by_age(by_supplier, by_batch), *seldom_seen()),
    )


def _says(found: OneKind) -> tuple[str, ...]:
    whole = found.whole
    rate, way = by_months(whole), by_distance(whole)
    counted = ngettext(
        "%(failed)s of %(units)s unit failed; %(first)s more had failed when first seen.",
        "%(failed)s of %(units)s units failed; %(first)s more had failed when first seen.",
        whole.units,
    ) % {
        "units": format_number(whole.units, decimals=0),
        "failed": format_number(whole.failed, decimals=0),
        "first": format_number(whole.first_visit, decimals=0),
    }
    says = [counted]
    if rate:
        says.append(_("Per 1000 unit-months: %(rate)s.") % {"rate": said(rate)})
    if way:
        says.append(_("Per 100\u202f000 km: %(rate)s.") % {"rate": said(way)})
    return tuple(says)


def _platforms(found: OneKind) -> ReportTable:
    by = found.tallies.by(lambda of: found.kind.platforms.get(of.component))
    rows = tuple((code, {"platform": code}, by[code]) for code in sorted(by))
    return _rates(found, "component-platforms", _("By platform"), _("Platform"), rows)


def _positions(found: OneKind) -> ReportTable:
    by = found.tallies.by(lambda of: of.position)
    names = {str(value): str(label) for value, label in Position.choices}
    order = [place for place in names if place in by]
    rows = tuple((names[place], {"position": place}, by[place]) for place in order)
    if list(by) == [""]:
        rows = ()
    return _rates(found, "component-positions", _("By place"), _("Place"), rows)


def _rates(
    found: OneKind,
    key: str,
    title: str,
    head: str,
    rows: Sequence[tuple[str, dict[str, str], Tally]],
) -> ReportTable:
    made = tuple(
        (Shown(name), *tally_cells(tally, found.kind.key, found.until, **(found.only | narrowed)))
        for name, narrowed, tally in rows
    )
    return ReportTable(key, title, (Column(head, ""), *rate_columns()), made)


def _groups(
    found: OneKind, key: str, title: str, head: str, groups: Sequence[Group]
) -> ReportTable:
    columns = (
        Column(head, _("In the order of their names, not of their rates.")),
        *rate_columns(),
        Column(
            _("Expected"), _("Failures at the rate of the others at the same ages."), Reads.NUMBER
        ),
        Column(
            _("Against the others"),
            _("What is left after allowing for chance and for how many were looked at."),
        ),
    )
    rows = tuple(_group_row(group, found.only) for group in groups)
    note = _(
        "Each is held against all the others that are known. Below one expected failure a count "
        "is too small to judge."
    )
    return ReportTable(key, title, columns, rows, note)


def _group_row(group: Group, only: dict[str, str]) -> tuple[Shown, ...]:
    narrowed = only | group.narrowed
    return (
        Shown(group.name, group.name, jobs_of(group.kind.key, group.until, **narrowed)),
        *tally_cells(group.tally, group.kind.key, group.until, **narrowed),
        BLANK if group.expected is None else number(group.expected),
        Shown(judged_words(group)),
    )


def _modes(found: OneKind) -> ReportTable:
    """Failures alone: until it fails, a unit has no mode."""
    by = found.tallies.by(lambda of: found.modes.keys.get(of.mode or 0, ""))
    failed = {mode: tally.failed for mode, tally in by.items() if tally.failed}
    whole = sum(failed.values())
    watched = months(found.whole)
    names = {"": _("not said")} | found.modes.words
    columns = (
        Column(_("Failed as"), _("What was concluded when it was found.")),
        Column(_("Failures"), _("How many of them."), Reads.WHOLE),
        Column(_("Share, %"), _("Of a hundred failures."), Reads.NUMBER),
        Column(_("From"), _("The lower of its exact 95 % limits."), Reads.NUMBER),
        Column(_("To"), _("The upper of its exact 95 % limits."), Reads.NUMBER),
        Column(_("Rate"), _("Per 1000 unit-months of all units."), Reads.NUMBER),
    )
    rows = []
    for mode in sorted(failed, key=lambda one: names.get(one, "").casefold()):
        share = share_limits(failed[mode], whole)
        way = jobs_of(found.kind.key, found.until, **found.only, mode=mode) if mode else None
        rows.append(
            (
                Shown(names.get(mode, "–")),
                count(failed[mode], way),
                percent(share.share),
                percent(share.low),
                percent(share.high),
                number(failed[mode] / watched * 1000) if watched else BLANK,
            )
        )
    return ReportTable("component-modes", _("By failure mode"), columns, tuple(rows))


def _two(groups: Sequence[Group]) -> tuple[str, ...]:
    """The two that were watched longest, against each other: chosen by that, not by their rates."""
    known = [one for one in groups if one.due > 0]
    if len(known) < 2:
        return ()
    one, other = sorted(known, key=lambda group: -group.tally.days.gap)[:2]
    if not one.tally.failed + other.tally.failed:
        return ()
    found = two_rates(one.tally.failed, one.due, other.tally.failed, other.due)
    words = {
        "one": capfirst(one.name),
        "other": other.name,
        "counts": _("%(failed)d in %(months)s unit-months against %(others)d in %(beside)s")
        % {
            "failed": one.tally.failed,
            "months": format_number(one.tally.days.gap / MONTH, decimals=0),
            "others": other.tally.failed,
            "beside": format_number(other.tally.days.gap / MONTH, decimals=0),
        },
        "p": p_words(found.p),
    }
    if found.ratio is None or found.low is None or found.high is None:
        return (
            _(
                "%(one)s and %(other)s: %(counts)s; at the same ages p %(p)s (exact, mid-P, "
                "doubled)."
            )
            % words,
        )
    ratio = {
        "ratio": format_number(found.ratio, digits=2),
        "low": format_number(found.low, digits=2),
        "high": format_number(found.high, digits=2),
    }
    return (
        _(
            "%(one)s and %(other)s: %(counts)s; at the same ages the first fails %(ratio)s "
            "times as often, %(low)s to %(high)s by its 95 %% limits; p %(p)s (exact, mid-P, "
            "doubled)."
        )
        % (words | ratio),
    )


def _compared_by_age(*tables: Sequence[Group]) -> tuple[str, ...]:
    if not any(len(groups) > 1 for groups in tables):
        return ()
    return (
        _(
            "Suppliers and batches are held against each other at the same ages since they were "
            "fitted, in steps of thirty days; how far each was driven is not allowed for."
        ),
    )
