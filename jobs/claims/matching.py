"""Which claim a line of a payer's file pays: surely, probably, or none that is known. Pure.

Exact is only our own number of that payer's claim with nothing that speaks against it, for no more
than is owed. Everything else that points at one claim is probable, and a person is asked; what
points at several is left open with all of them named.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from jobs.claims.payment_file import PaidLine

FEW = 4


class Match(StrEnum):
    EXACT = "exact"
    PROBABLE = "probable"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Known:
    """A claim of the payer. `unlike`: why money for it is unusual, or ""."""

    pk: int
    number: str
    order_number: str
    vin: str
    owed: Decimal
    paid: Decimal
    unlike: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """`because` says why, in one sentence."""

    match: Match
    claim: Known | None
    because: str


class Matcher:
    """Matches lines one after the other: what an earlier line pays is owed no more by the next."""

    def __init__(self, claims: Iterable[Known]) -> None:
        self._all = tuple(claims)
        self._numbers = _by(self._all, lambda one: plain(one.number))
        self._bare = _by(self._all, lambda one: digits(one.number))
        self._orders = _by(self._all, lambda one: plain(one.order_number))
        self._vins = _by(self._all, lambda one: plain(one.vin))
        self._near = _by_gap(self._all)
        self._taken: dict[int, Decimal] = defaultdict(Decimal)

    def find(self, line: PaidLine) -> Found:
        """The claim that this line pays, as far as it can be told."""
        number = plain(line.claim_number)
        named = self._numbers.get(number, ()) if number else ()
        found = self._named(line, named[0]) if named else self._guess(line, number)
        if found.match is Match.EXACT and found.claim:
            self._taken[found.claim.pk] += line.amount
        return found

    def _named(self, line: PaidLine, claim: Known) -> Found:
        against = self._against(line, claim)
        if against:
            return Found(Match.PROBABLE, claim, f"The number is ours, but {against}.")
        return Found(Match.EXACT, claim, "Our number, and no more than is owed.")

    def _against(self, line: PaidLine, claim: Known) -> str:
        if claim.unlike:
            return claim.unlike
        if line.order_number and plain(line.order_number) != plain(claim.order_number):
            return f"its order is {claim.order_number}, not {line.order_number}"
        if line.vin and plain(line.vin) != plain(claim.vin):
            return f"its VIN is {claim.vin}, not {line.vin}"
        return self._too_much(line, claim)

    def _too_much(self, line: PaidLine, claim: Known) -> str:
        taken = self._taken[claim.pk]
        if line.taken_back:
            has = claim.paid + taken
            return f"only {has:.2f} was paid on it" if -line.amount > has else ""
        owed = claim.owed - taken
        return f"only {owed:.2f} is owed on it" if line.amount > owed else ""

    def _guess(self, line: PaidLine, number: str) -> Found:
        ways = (
            (self._without_prefix(number), f"The digits of {line.claim_number} are those of"),
            (self._one_off(number), f"{line.claim_number} is one sign away from"),
            (self._of(self._orders, line.order_number, line), "The order and the amount are of"),
            (self._of(self._vins, line.vin, line), "The VIN and the amount are of"),
        )
        for claims, words in ways:
            if len(claims) == 1:
                also = self._against(line, claims[0])
                but = f"; but {also}" if also else ""
                return Found(Match.PROBABLE, claims[0], f"{words} {claims[0].number}{but}.")
            if claims:
                names = ", ".join(one.number for one in claims[:FEW])
                more = " and others" if len(claims) > FEW else ""
                return Found(Match.NONE, None, f"{words} several: {names}{more}. Choose one.")
        return Found(Match.NONE, None, self._nothing(line))

    def _without_prefix(self, number: str) -> Sequence[Known]:
        """Claims with the same digits, the letters before them left out or written otherwise."""
        only = digits(number)
        return self._bare.get(only, ()) if only and len(only) > 1 else ()

    def _one_off(self, number: str) -> Sequence[Known]:
        """Claims whose number has one sign otherwise, or two neighbours changed round."""
        if len(number) < 4:
            return ()
        near = {one.pk: one for gap in _gaps(number) for one in self._near.get(gap, ())}
        near |= {one.pk: one for turned in _turned(number) for one in self._numbers.get(turned, ())}
        return tuple(near.values())

    def _of(self, by: dict[str, tuple[Known, ...]], key: str, line: PaidLine) -> Sequence[Known]:
        claims = by.get(plain(key), ()) if key else ()
        return tuple(one for one in claims if not self._too_much(line, one) and not one.unlike)

    def _nothing(self, line: PaidLine) -> str:
        if line.claim_number:
            return f"This payer has no claim {line.claim_number}, and nothing else fits."
        return "No claim of this payer fits the order or VIN with this amount."


def plain(text: str) -> str:
    """A number as it is compared: capitals and digits alone."""
    return "".join(letter for letter in text.upper() if letter.isalnum())


def digits(text: str) -> str:
    """The digits at the end, without noughts before them."""
    kept = plain(text)
    end = len(kept.rstrip("0123456789"))
    return kept[end:].lstrip("0")


def _gaps(number: str) -> set[tuple[int, str]]:
    """The number with each of its digits left out in turn: two that share one differ in it."""
    return {
        (place, f"{number[:place]}?{number[place + 1 :]}")
        for place, letter in enumerate(number)
        if letter.isdecimal()
    }


def _turned(number: str) -> set[str]:
    return {
        number[:place] + number[place + 1] + number[place] + number[place + 2 :]
        for place in range(len(number) - 1)
        if number[place] != number[place + 1]
    }


def _by(claims: Iterable[Known], key: Callable[[Known], str]) -> dict[str, tuple[Known, ...]]:
    found: dict[str, list[Known]] = defaultdict(list)
    for claim in claims:
        if name := key(claim):
            found[name].append(claim)
    return {name: tuple(each) for name, each in found.items()}


def _by_gap(claims: Iterable[Known]) -> dict[tuple[int, str], tuple[Known, ...]]:
    found: dict[tuple[int, str], list[Known]] = defaultdict(list)
    for claim in claims:
        for gap in _gaps(plain(claim.number)):
            found[gap].append(claim)
    return {gap: tuple(each) for gap, each in found.items()}
