"""The claims behind each figure of the ledger: an address names the figure, and its payer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext as _

from jobs.claims.ageing import Age
from jobs.models import Claim, ClaimAnswer, ClaimLine, ClaimPayer
from jobs.queries.claim_cost import month_of
from jobs.queries.claim_ledger import (
    SETTLED,
    aged,
    first_month,
    firsts,
    midnight,
    open_claims,
    paid_in,
    sent_since,
)
from jobs.queries.claim_recovery import claims_sent
from shop import clock
from shop.actor import Actor

_REFUSED = (ClaimAnswer.Kind.REFUSED, ClaimAnswer.Kind.SHORT)


@dataclass(frozen=True, slots=True)
class Behind:
    title: str
    claims: QuerySet[Claim]


def behind(actor: Actor, figure: str, payer: str = "") -> Behind | None:
    """What a figure such as "owed", "owed-30", "first", "first-yes", "refused-late", "paid",
    "kind-tax", "month-2026-05" or "short-2026-01-01-2026-05-31" counts; None for what is none."""
    name, _dash, more = figure.partition("-")
    make = _FIGURES.get(name)
    found = make(actor, more) if make else None
    if found is None:
        return None
    rows, title = found.claims, found.title
    if payer:
        known = (
            ClaimPayer.objects.of(actor).filter(pk=int(payer)).first()
            if payer.isdecimal() and len(payer) < 12
            else None
        )
        if known is None:
            return None
        rows, title = rows.filter(payer=known), f"{title}: {known.name}"
    rows = rows.select_related("payer", "complaint__order__vehicle")
    return Behind(title, rows.order_by("first_sent_at", "pk"))


def _payer(actor: Actor, key: str) -> ClaimPayer | None:
    if not (key.isascii() and key.isdecimal() and len(key) < 12):
        return None
    found: ClaimPayer | None = ClaimPayer.objects.of(actor).filter(pk=int(key)).first()
    return found


def _owed(actor: Actor, more: str) -> Behind | None:
    rows = open_claims(actor)
    if not more:
        return Behind(_("Owed"), rows)
    if more == "refused":
        return Behind(_("Refused, not sent again"), rows.filter(state=Claim.State.REFUSED))
    if more not in set(Age):
        return None
    return Behind(
        _("Owed, %(age)s") % {"age": Age(more).label}, aged(rows, clock.today()).filter(age=more)
    )


def _first(actor: Actor, more: str) -> Behind | None:
    rows = firsts(sent_since(actor, first_month(clock.today())))
    if more == "yes":
        return Behind(_("Accepted as first sent"), rows.filter(at_once=1))
    return Behind(_("Answered"), rows.filter(answered=1)) if not more else None


def _refused(actor: Actor, more: str) -> Behind | None:
    labels = dict(ClaimAnswer.Reason.choices)
    reason = "" if more == "none" else more
    if reason not in labels:
        return None
    rows = sent_since(actor, first_month(clock.today()))
    with_it = ClaimAnswer.objects.filter(
        submission__claim=OuterRef("pk"), reason=reason, kind__in=_REFUSED
    )
    title = _("Refused or cut: %(why)s") % {"why": labels[reason]}
    return Behind(title, rows.filter(Exists(with_it)))


def _paid(actor: Actor, more: str) -> Behind | None:
    rows = paid_in(sent_since(actor, first_month(clock.today())))
    return Behind(_("Paid"), rows) if not more else None


def _kind(actor: Actor, more: str) -> Behind | None:
    labels = dict(ClaimLine.Kind.choices)
    rows = sent_since(actor, first_month(clock.today())).filter(state__in=SETTLED)
    if not more:
        return Behind(_("Paid, short or written off"), rows)
    if more not in labels:
        return None
    title = _("Paid, short or written off, with %(kind)s") % {"kind": labels[more]}
    lines = ClaimLine.objects.filter(claim=OuterRef("pk"), kind=more)
    return Behind(title, rows.filter(Exists(lines)))


def _month(actor: Actor, more: str) -> Behind | None:
    try:
        month = date.fromisoformat(f"{more}-01")
        rows = month_of(sent_since(actor, month), month)
        midnight(month)
    except (ValueError, OverflowError):
        return None
    return Behind(_("First sent in %(month)s") % {"month": f"{month:%Y-%m}"}, rows)


def _short(actor: Actor, more: str) -> Behind | None:
    """Of those first sent between two days: settled by the second, and for less than was asked."""
    try:
        since, until = date.fromisoformat(more[:10]), date.fromisoformat(more[11:])
        midnight(until)
        sent = claims_sent(actor, since, until)
    except (ValueError, OverflowError):
        return None
    keys = [one.pk for one in sent if one.short and one.is_ripe(until)]
    title = _("Brought less than was asked, settled by %(day)s") % {"day": until.isoformat()}
    return Behind(title, Claim.objects.of(actor).filter(pk__in=keys))


_FIGURES = {
    "short": _short,
    "owed": _owed,
    "first": _first,
    "refused": _refused,
    "paid": _paid,
    "kind": _kind,
    "month": _month,
}
