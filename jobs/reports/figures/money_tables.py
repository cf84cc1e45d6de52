"""The tables of the money: by month, by component, by payer, and what claims brought."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.models import Payer
from jobs.queries.claim_recovery import MATURED_DAYS, ClaimSent
from jobs.reports.document import ReportTable, Shown, Span, Way
from jobs.reports.figures.failure_words import BLANK, MONTH, count, number
from jobs.reports.figures.money_sums import (
    Sums,
    grouped,
    mean_limits,
    months_to,
    recovered,
    sums,
)
from jobs.reports.figures.spans import short
from jobs.reports.queries.money import Money, RepairMoney
from shop.money import cents, format_amount, total
from shop.tables import Column, Reads

_AMOUNT, _WHOLE, _NUMBER = Reads.AMOUNT, Reads.WHOLE, Reads.NUMBER
PER_UNIT_MONTHS = 1_000


class Amounts:
    """Amounts in the sign of the workshop."""

    def __init__(self, sign: str) -> None:
        self.sign = sign

    def cell(self, amount: Decimal | None, way: Way | None = None) -> Shown:
        return BLANK if amount is None else Shown(self.words(amount), cents(amount), way)

    def words(self, amount: Decimal) -> str:
        return format_amount(amount, self.sign)


def by_month(found: Money, span: Span, amounts: Amounts) -> ReportTable:
    columns = (
        Column(_("Month"), _("In which repairs were handed over.")),
        *_sold_columns(),
        *_cost_columns(),
    )
    rows = tuple(
        (Shown(short(month), f"{month:%Y-%m}"), *_cells(sums(some), amounts))
        for month, some in of_months(found, span)
    )
    title = _("Repairs by month, and what they cost")
    return ReportTable("money-by-month", title, columns, rows, _cost_note(found))


def by_component(
    found: Money, days: Mapping[str, float], names: Mapping[str, str], amounts: Amounts
) -> ReportTable:
    """`days`: unit-days of each kind; `names`: what each kind is called."""
    columns = (
        Column(_("Component"), _("What was found at fault.")),
        *_sold_columns(),
        *_cost_columns(),
        Column(
            _("A repair: from"), _("The lower 95 % limit of the mean cost of a repair."), _AMOUNT
        ),
        Column(_("A repair: to"), _("The upper limit of that."), _AMOUNT),
        Column(
            _("Cost in service"),
            _(
                "Known cost per 1000 unit-months of the units watched, without repairs at a "
                "vehicle’s first visit; blank where it is not whole."
            ),
            _AMOUNT,
        ),
    )
    kinds = grouped(found.repairs, lambda row: row.key)
    called = {key: names.get(key, some[0].name) for key, some in kinds.items()}
    rows = tuple(
        (
            _kind(key, name),
            *_cells(sums(some), amounts),
            *_limits(some, amounts),
            amounts.cell(_in_service(some, days.get(key, 0.0)) if key else None),
        )
        for name, key, some in sorted(
            ((called[key], key, some) for key, some in kinds.items()),
            key=lambda one: _order(*one[:2]),
        )
    )
    note = _(
        "In the order of their names. Limits of a mean by the normal law, of twenty repairs or "
        "more that did not all cost the same. Units are in service by how likely their vehicle "
        "still comes, as under Watch."
    )
    return ReportTable("money-by-component", _("By component, twelve months"), columns, rows, note)


def by_payer(found: Money, amounts: Amounts) -> ReportTable:
    columns = (
        Column(_("Payer"), _("Who bears the repair, wholly or with the customer.")),
        Column(_("Repairs"), _("How many had this payer."), _WHOLE),
        Column(_("Price"), _("Of these repairs, before tax."), _AMOUNT),
        Column(_("Payer bears"), _("What of it is not the customer’s."), _AMOUNT),
        Column(_("Customer bears"), _("The rest."), _AMOUNT),
    )
    payers = grouped(found.repairs, lambda row: row.payer)
    rows = tuple(
        (
            Shown(payer.label.capitalize(), str(payer.label)),
            count(len(payers[payer])),
            amounts.cell(total(row.price for row in payers[payer])),
            amounts.cell(total(row.others for row in payers[payer])),
            amounts.cell(total(row.price - row.others for row in payers[payer])),
        )
        for payer in Payer
        if payer in payers
    )
    return ReportTable("money-by-payer", _("By payer, twelve months"), columns, rows)


def recovery(found: Money, until: date, amounts: Amounts) -> ReportTable:
    columns = (
        Column(_("Payer"), _("Of whom it was claimed.")),
        Column(_("Claims"), _("Sent at least 90 days before the last day, and settled."), _WHOLE),
        Column(_("Claimed"), _("What they ask for now, tax included."), _AMOUNT),
        Column(_("Paid"), _("What came for them up to the last day counted."), _AMOUNT),
        Column(_("Paid, %"), _("Of what was claimed."), _NUMBER),
        Column(_("Paid less"), _("How many of them brought less than was asked."), _WHOLE),
        Column(_("Open"), _("As old, with an answer or money still to come."), _WHOLE),
        Column(_("Too young"), _("Claims sent later: not in the columns before."), _WHOLE),
    )
    payers: dict[str, list[ClaimSent]] = {}
    for one in found.claims:
        payers.setdefault(one.payer, []).append(one)
    rows = tuple(_recovery(name, claims, until, amounts) for name, claims in payers.items())
    note = _(
        "Claims first sent in these twelve months, by payer. Only those sent %(days)d days ago or "
        "more and paid, refused or written off are judged: of others it is not known yet what they "
        "will bring."
    ) % {"days": MATURED_DAYS}
    return ReportTable("warranty-recovery", _("What claims brought"), columns, rows, note)


def of_months(found: Money, span: Span) -> tuple[tuple[date, tuple[RepairMoney, ...]], ...]:
    """Twelve months, the oldest first, each with its repairs."""
    by = grouped(found.repairs, lambda row: f"{row.month:%Y-%m}")
    return tuple((month, by.get(f"{month:%Y-%m}", ())) for month in months_to(span.month))


def _in_service(rows: Sequence[RepairMoney], days: float) -> Decimal | None:
    """Of the units that were watched: what came with a first visit had failed unwatched."""
    return in_service(sums(row for row in rows if not row.first_visit), days)


def in_service(of: Sums, days: float) -> Decimal | None:
    """Cost per 1000 unit-months; None where some of it, or the units, are not known."""
    if days <= 0 or of.known < of.repairs:
        return None
    return cents(of.cost / Decimal(repr(days / MONTH / PER_UNIT_MONTHS)))


def _recovery(
    name: str, claims: Sequence[ClaimSent], until: date, amounts: Amounts
) -> tuple[Shown, ...]:
    of = recovered(claims, until)
    judged = of.claims > 0
    return (
        Shown(name, name, Way("claim-ledger")),
        count(of.claims),
        amounts.cell(of.claimed if judged else None),
        amounts.cell(of.paid if judged else None),
        BLANK if of.share is None else number(float(of.share) * 100),
        count(of.short) if judged else BLANK,
        count(of.waiting),
        count(of.young),
    )


def _sold_columns() -> tuple[Column, ...]:
    return (
        Column(_("Repairs"), _("Complaints that were answered and handed over."), _WHOLE),
        Column(_("Price"), _("What was billed less what was credited, before tax."), _AMOUNT),
        Column(_("Customers"), _("What of the price customers bear."), _AMOUNT),
        Column(_("Cover"), _("What warranties, contracts and campaigns bear."), _AMOUNT),
        Column(_("Goodwill"), _("What was let off as goodwill."), _AMOUNT),
        Column(_("Workshop"), _("What the workshop bears itself."), _AMOUNT),
    )


def _cost_columns() -> tuple[Column, ...]:
    return (
        Column(_("Cost"), _("Clocked time and what parts cost, as far as known."), _AMOUNT),
        Column(_("Known of"), _("Of how many repairs the whole cost is known."), _WHOLE),
        Column(_("A repair"), _("What one of those cost on average."), _AMOUNT),
        Column(_("Comebacks"), _("Repairs that answer an earlier one’s return."), _WHOLE),
        Column(_("Their cost"), _("Of those whose cost is known."), _AMOUNT),
    )


def _cells(of: Sums, amounts: Amounts) -> tuple[Shown, ...]:
    return (
        count(of.repairs),
        amounts.cell(of.price),
        amounts.cell(of.customer),
        amounts.cell(of.cover),
        amounts.cell(of.goodwill),
        amounts.cell(of.own),
        amounts.cell(of.cost if of.known else None),
        count(of.known),
        amounts.cell(of.mean_cost),
        count(of.comebacks),
        amounts.cell(of.comeback_cost if of.comebacks_known else None),
    )


def _limits(rows: Sequence[RepairMoney], amounts: Amounts) -> tuple[Shown, Shown]:
    limits = mean_limits(rows)
    if limits is None:
        return BLANK, BLANK
    return amounts.cell(limits[0]), amounts.cell(limits[1])


def _kind(key: str, name: str) -> Shown:
    if not key:
        return Shown(_("No component named"), None)
    return Shown(name, name, Way("failure-sheet", (key,)))


def _order(name: str, key: str) -> tuple[bool, str, str]:
    """Those without a component last."""
    return (not key, name.casefold(), key)


def _cost_note(found: Money) -> str:
    if found.rate is None:
        return _(
            "What an hour of work costs is not set (Prices and terms), so a repair with time on "
            "the clock has no known cost."
        )
    return _(
        "Cost: the time on the clock at what an hour costs now, in every month, and what parts, "
        "material and sublet work cost. A repair with labour but nothing on the clock, or with a "
        "part whose cost is not on record, has no known cost."
    )
