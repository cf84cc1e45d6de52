"""The money: what repairs were sold for and cost, who bears it, what claims and comebacks did."""

from __future__ import annotations

from math import floor
from typing import Final

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.queries.claim_recovery import MATURED_DAYS
from jobs.reports import weights
from jobs.reports.document import Figure, Finding, Section, Span, Way
from jobs.reports.figures import money_tables
from jobs.reports.figures.money_sums import (
    Recovered,
    Sums,
    mean_limits,
    months_to,
    recovered,
    sums,
)
from jobs.reports.figures.money_tables import Amounts, of_months
from jobs.reports.figures.spans import long, short, under_way
from jobs.reports.queries.money import Money, money
from jobs.reports.queries.watch import followed
from jobs.reports.stats.limits import share_limits
from shop.actor import Actor
from shop.charting import Axis, Bars, Chart, Role
from shop.units import format_number

KEY: Final = "money"
LEAST_CLAIMS: Final = 5
LEAST_SHARE: Final = 0.1
"""Spoken of on top where surely more than one claim in ten brings less than was asked."""


def section(actor: Actor, span: Span) -> Section:
    """Twelve months up to the span's. Fourteen queries, whatever there is."""
    found = money(actor, months_to(span.month)[0], span.until)
    amounts = Amounts(actor.workshop.currency)
    title = _("Money")
    if not found.repairs and not found.claims:
        return Section(KEY, title, (_nothing(),))
    back = recovered(found.claims, span.until)
    return Section(
        KEY,
        title,
        says=_says(found, span, back, amounts),
        figures=(Figure(_chart(found, span, amounts), _chart_limits(found)),),
        tables=(
            money_tables.by_month(found, span, amounts),
            money_tables.by_component(found, *_units(actor, span), amounts),
            money_tables.by_payer(found, amounts),
            money_tables.recovery(found, span.until, amounts),
        ),
        limits=_limits(),
        findings=_findings(back, span, amounts),
    )


def _units(actor: Actor, span: Span) -> tuple[dict[str, float], dict[str, str]]:
    """By kind: unit-days in the same twelve months as the repairs, and its name."""
    watched = followed(actor, span.until)
    begins = max(0, months_to(span.month)[0].toordinal() - watched.first_day)
    days = {one.group.key: float(one.exposure[begins:].sum()) for one in watched.kinds}
    return days, {one.group.key: one.group.name for one in watched.kinds}


def _nothing() -> str:
    return _(
        "No repair was handed over in these twelve months. The first one stands here with what it "
        "was sold for and what it cost."
    )


def _says(found: Money, span: Span, back: Recovered, amounts: Amounts) -> tuple[str, ...]:
    month = sums(row for row in found.repairs if row.month == span.month)
    year = sums(found.repairs)
    return (
        _month(month, span, amounts),
        *_mean(found, year, amounts),
        _recovery(back, amounts),
        _let_off(month, year, amounts),
        _comebacks(year, amounts),
    )


def _month(of: Sums, span: Span, amounts: Amounts) -> str:
    if not of.repairs:
        return _("In %(month)s, up to %(day)s, no repair was handed over.") % {
            "month": long(span.month),
            "day": date_format(span.until, "j F"),
        }
    return ngettext(
        "In %(month)s, up to %(day)s, %(count)d repair was handed over for %(price)s before tax; "
        "customers bear %(customer)s of it, warranties, contracts and campaigns %(cover)s.",
        "In %(month)s, up to %(day)s, %(count)d repairs were handed over for %(price)s before tax; "
        "customers bear %(customer)s of it, warranties, contracts and campaigns %(cover)s.",
        of.repairs,
    ) % {
        "month": long(span.month),
        "day": date_format(span.until, "j F"),
        "count": of.repairs,
        "price": amounts.words(of.price),
        "customer": amounts.words(of.customer),
        "cover": amounts.words(of.cover),
    }


def _mean(found: Money, year: Sums, amounts: Amounts) -> tuple[str, ...]:
    if year.mean_cost is None:
        return (
            _(
                "What repairs cost is not known: that needs what an hour of work costs (Prices "
                "and terms), time on the clock, and what parts were bought for."
            ),
        )
    words = {
        "mean": amounts.words(year.mean_cost),
        "known": year.known,
        "repairs": year.repairs,
    }
    limits = mean_limits(found.repairs)
    if limits is None:
        text = _(
            "A repair cost %(mean)s on average in twelve months, of the %(known)d out of "
            "%(repairs)d whose cost is known: too few for limits."
        )
    else:
        words |= {"low": amounts.words(limits[0]), "high": amounts.words(limits[1])}
        text = _(
            "A repair cost %(mean)s on average in twelve months (95 %% limits %(low)s to "
            "%(high)s), of the %(known)d out of %(repairs)d whose cost is known."
        )
    return (text % words,)


def _recovery(of: Recovered, amounts: Amounts) -> str:
    if of.share is None:
        return _(
            "No claim of these twelve months is %(days)d days old and settled yet: what payers "
            "pay of them is not to be told."
        ) % {"days": MATURED_DAYS}
    return ngettext(
        "Of %(count)d claim sent more than %(days)d days ago and settled %(paid)s of %(claimed)s "
        "was paid, %(share)s %%.",
        "Of %(count)d claims sent more than %(days)d days ago and settled %(paid)s of "
        "%(claimed)s was paid, %(share)s %%.",
        of.claims,
    ) % {
        "count": of.claims,
        "days": MATURED_DAYS,
        "paid": amounts.words(of.paid),
        "claimed": amounts.words(of.claimed),
        "share": format_number(float(of.share) * 100, decimals=0),
    }


def _let_off(month: Sums, year: Sums, amounts: Amounts) -> str:
    return _(
        "Goodwill was %(goodwill)s this month and %(year)s in twelve; the workshop bore %(own)s "
        "and %(year_own)s itself."
    ) % {
        "goodwill": amounts.words(month.goodwill),
        "year": amounts.words(year.goodwill),
        "own": amounts.words(month.own),
        "year_own": amounts.words(year.own),
    }


def _comebacks(year: Sums, amounts: Amounts) -> str:
    if not year.comebacks:
        return _("No repair of these twelve months answers a comeback.")
    words = {
        "count": year.comebacks,
        "known": year.comebacks_known,
        "cost": amounts.words(year.comeback_cost),
    }
    return (
        ngettext(
            "%(count)d repair of the twelve months answers a comeback, decided or not yet; the "
            "cost of %(known)d is known: %(cost)s.",
            "%(count)d repairs of the twelve months answer a comeback, decided or not yet; the "
            "cost of %(known)d is known: %(cost)s.",
            year.comebacks,
        )
        % words
    )


def _chart(found: Money, span: Span, amounts: Amounts) -> Chart:
    """What a repair cost on average; where no cost is known, what it was sold for."""
    months = [(month, sums(some)) for month, some in of_months(found, span)]
    known = any(of.known for _month, of in months)
    bars: list[tuple[str, float]] = []
    roles: list[Role] = []
    for month, of in months:
        mean = of.mean_cost if known else (of.price / of.repairs if of.repairs else None)
        if mean is not None:
            bars.append((short(month), float(round(mean, 2))))
            roles.append("soft" if month == span.month and under_way(span) else "value")
    says = (
        _("What a repair cost the workshop on average, month by month.")
        if known
        else _("What a repair was sold for on average, month by month: its cost is not known.")
    )
    return Chart(
        _("Cost of a repair by month") if known else _("Price of a repair by month"),
        says,
        Axis(_("Month")),
        Axis(_("A repair"), amounts.sign, zero=True),
        (Bars(_("A repair"), tuple(bars), roles=tuple(roles)),),
    )


def _chart_limits(found: Money) -> tuple[str, ...]:
    year = sums(found.repairs)
    return (
        _(
            "A mean of few repairs goes up and down with one dear one: see how many there were "
            "in each month."
        ),
        _("Cost is known of %(known)d of %(repairs)d repairs.")
        % {"known": year.known, "repairs": year.repairs},
    )


def _limits() -> tuple[str, ...]:
    return (
        _(
            "Rent, tools and the hours nobody clocked are in no cost here. A repair whose cost is "
            "not wholly known is left out of sums and means of cost, not counted as nothing."
        ),
        _("What was only declined, and diagnosis that led to no repair, is not among the repairs."),
        _(
            "A claim’s amount is the one asked for now; payments are those booked with a day up to "
            "the last one counted. One settled later was still open then."
        ),
    )


def _findings(of: Recovered, span: Span, amounts: Amounts) -> tuple[Finding, ...]:
    """Claims that bring less than asked, where it is surely more than now and then."""
    if of.claims < LEAST_CLAIMS:
        return ()
    low = share_limits(of.short, of.claims).low
    if low < LEAST_SHARE:
        return ()
    words = _(
        "%(short)d of %(count)d settled claims sent more than %(days)d days ago brought less than "
        "was asked, %(missing)s altogether: in the long run that is at least %(low)d %% of them "
        "(95 %% limits)."
    ) % {
        "short": of.short,
        "count": of.claims,
        "days": MATURED_DAYS,
        "missing": amounts.words(of.missing),
        "low": floor(100 * low),
    }
    weight = weights.MONEY + weights.more(of.short)
    since = months_to(span.month)[0]
    way = Way("claim-ledger-claims", (), f"of=short-{since}-{span.until}")
    return (Finding("claims-short", words, weight, way),)
