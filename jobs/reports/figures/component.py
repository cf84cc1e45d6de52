"""One kind of component on a sheet of its own: how often, how long, again and again, by month."""

from __future__ import annotations

from django.utils.translation import gettext as _

from jobs.reports.document import Section, Span
from jobs.reports.figures import (
    component_again,
    component_curves,
    component_months,
    component_rates,
)
from jobs.reports.queries.component import one_kind
from shop.actor import Actor


def sheet(actor: Actor, span: Span, key: str, platform: str = "") -> tuple[Section, ...]:
    """Five sections, or one sentence where there is nothing to count. Eighteen at most."""
    found = one_kind(actor, span, key, platform)
    if found is None or not found.tallies.rows:
        nothing = _("No unit of this kind was seen up to this day.")
        return _only(nothing)
    if not found.kind.fitted:
        return _only(
            _(
                "It is put right without fitting another, and a unit counts as failed when another "
                "is fitted in its place: how often it fails is not known here. Its repairs are "
                "under Repairs that came back, and under Money."
            )
        )
    return (
        component_rates.section(found),
        component_curves.by_age(found),
        component_curves.by_distance(found),
        component_again.section(found),
        component_months.section(found),
    )


def _only(sentence: str) -> tuple[Section, ...]:
    return (Section("component-rates", _("How often it fails"), says=(sentence,)),)
