"""The figures of the ledger of claims, as its page shows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from jobs.claims.ageing import Age, Share
from shop.money import total


@dataclass(frozen=True, slots=True)
class OwedRow:
    """What one payer owes (`payer` 0: all together). `refused` is part of the sum."""

    payer: int
    name: str
    ages: Mapping[Age, Decimal]
    counts: Mapping[Age, int]
    refused: Decimal

    @property
    def sum(self) -> Decimal:
        return total(self.ages.values())

    @property
    def count(self) -> int:
        return sum(self.counts.values())

    @property
    def cells(self) -> list[tuple[Age, Decimal, int]]:
        return [(age, self.ages[age], self.counts[age]) for age in Age]


@dataclass(frozen=True, slots=True)
class PayerYear:
    """How one payer answered and paid; `first`: accepted as first sent, of those answered."""

    payer: int
    name: str
    first: Share
    days: Fraction | None
    paid: int

    @property
    def days_shown(self) -> str:
        return "" if self.days is None else f"{float(self.days):g}"


@dataclass(frozen=True, slots=True)
class KindRow:
    """Claimed and paid of one kind, of claims that are paid, short or written off."""

    kind: str
    label: str
    claimed: Decimal
    paid: Decimal

    @property
    def short(self) -> Decimal:
        return total((self.claimed, -self.paid))


@dataclass(frozen=True, slots=True)
class Reason:
    key: str
    label: str
    count: int


@dataclass(frozen=True, slots=True)
class Ledger:
    """`all_owed` and `all_payers` are the sums under the rows."""

    since: date
    owed: tuple[OwedRow, ...]
    all_owed: OwedRow
    payers: tuple[PayerYear, ...]
    all_payers: PayerYear
    reasons: tuple[Reason, ...]
    kinds: tuple[KindRow, ...]
    all_kinds: KindRow
