"""Suppliers and batches of one kind of component, each held against all the others of its kind.

What each is due is what all together brought at the same ages since fitting: held against each
other by the time watched alone, of equal parts that wear out the oldest batch seemed the worst.

They are screened, never ranked: which lie outside what chance gives when all are alike, after
allowing for how many were looked at (jobs.reports.stats.funnel).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from jobs.reports.document import Finding, Way
from jobs.reports.figures.failure_words import jobs_of, p_words
from jobs.reports.findings import matter
from jobs.reports.queries import life_spells as spells
from jobs.reports.queries.kinds import Kind
from jobs.reports.queries.lives import Of, Tallies, Tally
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.stats.funnel import Counted, Screened, Side, screen
from jobs.reports.weights import WORSE_THAN_OTHERS, more
from shop.units import format_number

LEVEL = 0.05
_NONE = 1e-9  # failures that are due; less is a rounding


@dataclass(frozen=True, slots=True)
class Group:
    """One supplier or batch of a kind. `batch` empty: the supplier as a whole. `due`: failures, if
    it had failed as all of the kind together, whose supplier or batch is known, at the same ages;
    `expected`: if it had as the others did, None where there are none at its ages."""

    kind: Kind
    supplier: str
    batch: str
    tally: Tally
    due: float
    expected: float | None
    screened: Screened
    until: date

    @property
    def name(self) -> str:
        if not self.batch:
            return self.supplier
        if not self.supplier:
            return _("batch %(batch)s") % {"batch": self.batch}
        return _("batch %(batch)s of %(supplier)s") % {
            "batch": self.batch,
            "supplier": self.supplier,
        }

    @property
    def narrowed(self) -> dict[str, str]:
        """To whose units: of a batch also by its supplier, known or not."""
        supplier = {"supplier": self.supplier}
        return supplier | {"batch": self.batch} if self.batch else supplier

    @property
    def way(self) -> Way:
        return jobs_of(self.kind.key, self.until, **self.narrowed)

    @property
    def stands_out(self) -> bool:
        return self.screened.outside and self.screened.side == "high"


def judged_words(group: Group) -> str:
    one = group.screened
    if group.expected is None:
        return _("no others to compare")
    if one.too_small:
        return _("too few to judge")
    if not one.outside:
        return _("as the others")
    return _("more than the others") if one.side == "high" else _("fewer than the others")


def suppliers(kind: Kind, tallies: Tallies, until: date) -> tuple[Group, ...]:
    """Those of units whose supplier is known, in the order of their names."""
    return _groups(
        kind, tallies, until, lambda supplier, _batch: (supplier, "") if supplier else None
    )


def batches(kind: Kind, tallies: Tallies, until: date) -> tuple[Group, ...]:
    """Those of units whose batch is known, in the order of supplier and batch."""
    return _groups(kind, tallies, until, lambda *name: name if name[1] else None)


def all_groups(kinds: Iterable[Kind], tallies: Tallies, until: date) -> tuple[Group, ...]:
    """Suppliers and batches of all kinds; each is judged among its kind, and what is called
    outside is so after allowing for all that were looked at."""
    kind_of = {component: kind for kind in kinds for component in kind.components}
    split: dict[str, dict[Of, Tally]] = {}
    for of, tally in tallies.rows.items():
        if of.component in kind_of and (of.supplier or of.batch):
            split.setdefault(kind_of[of.component].key, {})[of] = tally
    by_key = {kind.key: kind for kind in kinds}
    found: list[Group] = []
    for key, rows in split.items():
        some = replace(tallies, rows=rows)
        found += [*suppliers(by_key[key], some, until), *batches(by_key[key], some, until)]
    return _together(found)


def finding(group: Group) -> Finding:
    """A batch or supplier that fails more often than the others of its kind."""
    one = group.screened
    text = (
        _(
            "%(kind)s, %(group)s: %(failed)d of %(units)d failed, where %(expected)s would have at "
            "the rate of the others at the same ages (p %(p)s among all that were compared)."
        )
        if group.expected
        else _(
            "%(kind)s, %(group)s: %(failed)d of %(units)d failed, and none of the others did at "
            "the same ages (p %(p)s among all that were compared)."
        )
    )
    words = text % {
        "kind": group.kind.name,
        "group": group.name,
        "failed": one.observed,
        "units": group.tally.units,
        "expected": format_number(group.expected or 0.0, digits=2),
        "p": p_words(one.adjusted or 0.0),
    }
    key = f"failures-{group.kind.key}-{group.supplier}-{group.batch}"
    about = matter(kind=group.kind.key, supplier=group.supplier, batch=group.batch)
    return Finding(key, words, WORSE_THAN_OTHERS + more(one.observed), group.way, about)


def _groups(
    kind: Kind, tallies: Tallies, until: date, named: Callable[[str, str], tuple[str, str] | None]
) -> tuple[Group, ...]:
    sums = tallies.by(lambda of: named(of.supplier, of.batch))
    names = sorted(name for name, one in sums.items() if one.units)
    watched = _watched(kind, tallies, named)
    due = spells.due(watched.get(name, spells.Spell()) for name in names)
    failed = [sums[name].failed for name in names]
    rows = screen([Counted(*one) for one in zip(failed, due, strict=True)])
    return tuple(
        Group(
            kind,
            *name,
            sums[name],
            share,
            _expected(share, count, sum(failed)),
            one,
            until,
        )
        for name, share, count, one in zip(names, due, failed, rows.rows, strict=True)
    )


def _watched(
    kind: Kind, tallies: Tallies, named: Callable[[str, str], tuple[str, str] | None]
) -> dict[tuple[str, str], spells.Spell]:
    found: dict[tuple[str, str], spells.Spell] = {}
    for (component, supplier, batch), spell in tallies.spells.items():
        name = named(supplier, batch)
        if component in kind.platforms and name is not None:
            found[name] = found.get(name, spells.Spell()) + spell
    return found


def _expected(due: float, failed: int, whole: int) -> float | None:
    """At the rate of the others: what they had over what they were due, times its own due."""
    others = whole - due
    return due * (whole - failed) / others if others > _NONE else None


def _together(groups: Sequence[Group]) -> tuple[Group, ...]:
    ps = [one.screened.p for one in groups if one.screened.p is not None]
    adjusted = iter(benjamini_hochberg(ps))
    return tuple(one if one.screened.p is None else _again(one, next(adjusted)) for one in groups)


def _again(group: Group, adjusted: float) -> Group:
    one = group.screened
    outside = adjusted < LEVEL
    side: Side = "" if not outside else "high" if one.observed > one.expected else "low"
    return replace(group, screened=replace(one, adjusted=adjusted, outside=outside, side=side))
