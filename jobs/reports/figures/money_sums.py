"""Repairs and claims added up: by month, by kind of component, by payer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from math import sqrt
from statistics import stdev
from typing import Final

from jobs.models import Payer
from jobs.queries.claim_recovery import ClaimSent
from jobs.reports.queries.money import NOTHING, RepairMoney
from shop.money import cents, total

MONTHS: Final = 12
LEAST_FOR_MEAN: Final = 20
"""With fewer repairs a mean has no limits worth printing (our advice, no source)."""
COVER: Final = (
    Payer.CAMPAIGN,
    Payer.VEHICLE_WARRANTY,
    Payer.PARTS_WARRANTY,
    Payer.SERVICE_CONTRACT,
)


@dataclass(frozen=True, slots=True)
class Sums:
    """Of some repairs. `known`: how many of them have a cost; `cost`: of those together.

    `cover`: what warranties, contracts and campaigns bear; `goodwill` and `own`: what was let off
    and what the workshop bears itself.
    """

    repairs: int
    price: Decimal
    customer: Decimal
    cover: Decimal
    goodwill: Decimal
    own: Decimal
    known: int
    cost: Decimal
    comebacks: int
    comebacks_known: int
    comeback_cost: Decimal

    @property
    def mean_cost(self) -> Decimal | None:
        """What a repair cost, of those whose cost is known."""
        return cents(self.cost / self.known) if self.known else None


@dataclass(frozen=True, slots=True)
class Recovered:
    """Claims that were sent at least 90 days before the last day and settled. `short`: paid less
    than asked; `missing`: by how much. `young`: how many were sent later; `waiting`: how many are
    as old and still open, of which nobody knows what they will bring."""

    claims: int
    claimed: Decimal
    paid: Decimal
    short: int
    missing: Decimal
    young: int
    waiting: int

    @property
    def share(self) -> Decimal | None:
        return self.paid / self.claimed if self.claimed else None


def sums(rows: Iterable[RepairMoney]) -> Sums:
    some = tuple(rows)
    known = [row.cost for row in some if row.cost is not None]
    back = [row for row in some if row.comeback]
    back_known = [row.cost for row in back if row.cost is not None]
    return Sums(
        repairs=len(some),
        price=total(row.price for row in some),
        customer=total(row.price - row.others for row in some),
        cover=_borne(some, *COVER),
        goodwill=_borne(some, Payer.GOODWILL),
        own=_borne(some, Payer.WORKSHOP),
        known=len(known),
        cost=total(known),
        comebacks=len(back),
        comebacks_known=len(back_known),
        comeback_cost=total(back_known),
    )


def _borne(rows: Iterable[RepairMoney], *payers: str) -> Decimal:
    return total(row.others for row in rows if row.payer in payers)


def grouped(
    rows: Iterable[RepairMoney], key: Callable[[RepairMoney], str]
) -> dict[str, tuple[RepairMoney, ...]]:
    found: dict[str, list[RepairMoney]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return {name: tuple(some) for name, some in found.items()}


def mean_limits(rows: Iterable[RepairMoney]) -> tuple[Decimal, Decimal] | None:
    """95 % limits of the mean cost by the normal law; None for too few to have any, and where all
    cost the same, which says nothing of what the next will cost."""
    known = [float(row.cost) for row in rows if row.cost is not None]
    if len(known) < LEAST_FOR_MEAN or len(set(known)) == 1:
        return None
    mean = sum(known) / len(known)
    away = 1.96 * stdev(known) / sqrt(len(known))
    return _exact(max(0.0, mean - away)), _exact(mean + away)


def _exact(amount: float) -> Decimal:
    return cents(Decimal(repr(round(amount, 4))))


def recovered(claims: Sequence[ClaimSent], until: date) -> Recovered:
    ripe = [one for one in claims if one.is_ripe(until)]
    old = [one for one in ripe if one.settled]
    return Recovered(
        len(old),
        total(one.claimed for one in old),
        total(one.paid for one in old),
        sum(one.short for one in old),
        total(max(NOTHING, one.claimed - one.paid) for one in old),
        len(claims) - len(ripe),
        len(ripe) - len(old),
    )


def months_to(month: date) -> tuple[date, ...]:
    """Twelve first days of months up to this one, the oldest first."""
    months = [month]
    while len(months) < MONTHS:
        months.append((months[-1] - timedelta(days=1)).replace(day=1))
    return tuple(reversed(months))
