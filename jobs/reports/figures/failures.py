"""How often each kind of component fails, for all kinds on one page.

Kinds stand in the order of their names: put in the order of their rates, those with few units
would stand first and last by luck alone.
"""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.document import Figure, Section, Span
from jobs.reports.figures import failure_changes, failure_groups, failure_tables
from jobs.reports.figures.failure_chart import rates_chart
from jobs.reports.figures.failure_words import months, seldom_seen
from jobs.reports.queries.failures import Failures, failures
from jobs.reports.queries.lives import Tally
from shop.actor import Actor
from shop.units import format_number

KEY = "failures"
BY_KIND = ("failure-rates", "failure-survival", "failure-distances")
"""The tables with a row for each kind, all in the same order."""
FEW = 100  # unit-months, of which decimals are told: a third of one is not none


def section(actor: Actor, span: Span) -> Section:
    """Of all kinds of components of which a unit was seen. Eighteen queries at most."""
    return made(failures(actor, span))


def made(found: Failures) -> Section:
    """The section of what was counted; nothing is read any more."""
    by_kind = tallied(found)
    whole = sum(by_kind.values(), Tally())
    if not whole.units + whole.first_visit:
        return Section(KEY, _("Failures of components"), says=(_nothing(),))
    groups = failure_groups.all_groups(found.kinds, found.tallies, found.until)
    changes = failure_changes.changes(found)
    curves = failure_tables.curves(found)
    out = tuple(group for group in groups if group.stands_out)
    chart = rates_chart(found.kinds, by_kind)
    return Section(
        KEY,
        _("Failures of components"),
        says=(_says(whole), *_about_groups(len(out), groups), *_patterns(found, curves)),
        figures=(Figure(chart),) if chart else (),
        tables=(
            failure_tables.rates(found, by_kind),
            failure_tables.survival(found, curves, by_kind),
            failure_tables.distances(found, by_kind),
            *failure_tables.standing_out(out),
            *failure_tables.no_fault(found),
        ),
        limits=(found.gap.words, *_without_age(whole), *seldom_seen()),
        findings=(
            *(failure_groups.finding(group) for group in out),
            *(change.finding for change in changes),
        ),
    )


def tallied(found: Failures) -> dict[str, Tally]:
    """Of each kind, in the order of their names; of none without a life."""
    kind_of = {component: kind.key for kind in found.kinds for component in kind.components}
    sums = found.tallies.by(lambda of: kind_of.get(of.component))
    return {kind.key: sums[kind.key] for kind in found.kinds if kind.key in sums}


def _nothing() -> str:
    return _(
        "No vehicle of a known platform was seen yet. From the first taking in on, each of its "
        "units is watched here."
    )


def _says(whole: Tally) -> str:
    words = ngettext(
        "%(units)s unit was watched for %(months)s unit-months, and %(failed)s failed; "
        "%(first)s more had failed when first seen.",
        "%(units)s units were watched for %(months)s unit-months, and %(failed)s failed; "
        "%(first)s more had failed when first seen.",
        whole.units,
    )
    return words % {
        "units": format_number(whole.units, decimals=0),
        "months": format_number(months(whole), digits=3)
        if months(whole) < FEW
        else format_number(months(whole), decimals=0),
        "failed": format_number(whole.failed, decimals=0),
        "first": format_number(whole.first_visit, decimals=0),
    }


def _about_groups(out: int, groups: tuple[failure_groups.Group, ...]) -> tuple[str, ...]:
    judged = sum(not group.screened.too_small for group in groups)
    if not judged:
        return ()
    found = ngettext(
        "%(out)d of %(judged)d suppliers and batches that are large enough to judge fails more "
        "often than the others of its kind.",
        "%(out)d of %(judged)d suppliers and batches that are large enough to judge fail more "
        "often than the others of their kind.",
        out,
    )
    return (found % {"out": out, "judged": judged},)


def _patterns(found: Failures, curves: dict[str, failure_tables.Curve]) -> tuple[str, ...]:
    """Which kinds wear out, and which fail early; nothing where the limits leave it open."""
    names = {kind.key: kind.name for kind in found.kinds}
    by_age = failure_tables.patterns(curves)
    says = []
    for pattern, words in (
        ("wear_out", _("They wear out, failing more often the older they are: %(names)s.")),
        ("early", _("They fail early or not at all for long: %(names)s.")),
    ):
        some = [names[key] for key, one in by_age.items() if one == pattern]
        if some:
            says.append(words % {"names": "; ".join(some)})
    return tuple(says)


def _without_age(whole: Tally) -> tuple[str, ...]:
    if not whole.no_age:
        return ()
    words = ngettext(
        "Of %(units)s unit the age is not known: it is in the rates, but in no curve by age.",
        "Of %(units)s units the age is not known: they are in the rates, but in no curve by age.",
        whole.no_age,
    )
    return (words % {"units": format_number(whole.no_age, decimals=0)},)
