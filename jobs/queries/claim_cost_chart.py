"""A year of warranty work as a picture: what it cost, and what was paid for it."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.queries.claim_cost import CostRow, CostYear
from shop.actor import Actor
from shop.charting import Axis, Chart, Line, Table
from shop.money import format_amount


def chart_of(actor: Actor, year: CostYear) -> Chart | None:
    """Paid and cost, month by month; None when nothing was sent or the cost is not known."""
    if year.rate is None or not year.all.claims:
        return None
    currency = actor.workshop.currency
    oldest = year.rows[::-1]
    place = [(float(number), row) for number, row in enumerate(oldest, 1 - len(oldest))]
    left = year.all.left
    assert left is not None
    says = _("Over the twelve months %(paid)s was paid for work that cost %(cost)s.") % {
        "paid": format_amount(year.all.paid, currency),
        "cost": format_amount(year.all.cost or Decimal(0), currency),
    }
    return Chart(
        _("Paid, and what the work cost"),
        says,
        Axis(_("Months from this one")),
        Axis(_("Amount"), currency, zero=True),
        (
            Line(_("Paid"), tuple((x, float(row.paid)) for x, row in place), dots=True),
            Line(
                _("Cost"),
                tuple((x, float(row.cost or 0)) for x, row in place),
                role="second",
                dots=True,
                dashed=True,
            ),
        ),
        table=_table(oldest, currency),
    )


def _table(rows: tuple[CostRow, ...], currency: str) -> Table:
    return Table(
        _("Paid and cost by month"),
        (_("Month"), _("Paid"), _("Cost")),
        tuple(
            (
                f"{row.month:%Y-%m}",
                format_amount(row.paid, currency),
                format_amount(row.cost or Decimal(0), currency),
            )
            for row in rows
        ),
    )
