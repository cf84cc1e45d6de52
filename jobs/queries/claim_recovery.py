"""What claims brought, as it was known at the end of a day. Nothing here writes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.utils import timezone

from jobs.models import Claim, ClaimPayment
from jobs.queries.claim_ledger import midnight
from shop.actor import Actor

MATURED_DAYS: Final = 90
"""A claim that was sent so long ago has had its time to be answered (our advice, no source)."""
_SETTLED: Final = (Claim.State.PAID, Claim.State.REFUSED, Claim.State.WRITTEN_OFF)
_NO_CLAIM: Final = (Claim.State.VOID, Claim.State.DRAFT, Claim.State.APPROVED)


@dataclass(frozen=True, slots=True)
class ClaimSent:
    """A claim by its key: `paid` up to the last day counted. `settled`: by then it was paid,
    refused or written off, so that nothing more was to come."""

    pk: int
    payer: str
    sent_on: date
    claimed: Decimal
    paid: Decimal
    settled: bool

    def is_ripe(self, until: date) -> bool:
        """Sent so long before that day that it has had its time."""
        return self.sent_on <= until - timedelta(days=MATURED_DAYS)

    @property
    def short(self) -> bool:
        """It brought less than was asked."""
        return self.settled and self.paid < self.claimed


def claims_sent(actor: Actor, since: date, until: date) -> tuple[ClaimSent, ...]:
    """Those first sent from `since` to `until`, by payer. Two queries."""
    sent = Claim.objects.of(actor).filter(
        first_sent_at__gte=midnight(since), first_sent_at__lt=midnight(until + timedelta(days=1))
    )
    sent = sent.exclude(state__in=_NO_CLAIM)
    paid: dict[int, Decimal] = defaultdict(Decimal)
    payments = ClaimPayment.objects.filter(claim__in=sent.order_by().values("pk"))
    for claim, amount in payments.filter(paid_on__lte=until).values_list("claim_id", "amount"):
        paid[claim] += amount
    rows = sent.order_by("payer__name", "pk").values_list(
        "pk", "payer__name", "first_sent_at", "claimed", "state", "state_since"
    )
    return tuple(
        ClaimSent(
            pk,
            payer,
            timezone.localtime(at).date(),
            claimed,
            paid[pk],
            settled=state in _SETTLED and timezone.localtime(then).date() <= until,
        )
        for pk, payer, at, claimed, state, then in rows
    )
