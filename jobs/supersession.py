"""Which part number is ordered today: superseded numbers lead to the one that lives. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class CataloguePart:
    """One number of one component, as the catalogue has it; `position` "" fits everywhere."""

    key: int
    number: str
    position: str
    superseded_by: int | None
    supplier: str
    price: Decimal
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Living:
    """The number to order, with the numbers it took the place of, oldest first."""

    number: str
    supplier: str
    price: Decimal
    replaced: tuple[str, ...] = ()

    @property
    def chain(self) -> tuple[str, ...]:
        """Oldest to living; a single number when nothing was superseded."""
        return (*self.replaced, self.number)


def living_parts(parts: Sequence[CataloguePart], position: str) -> tuple[Living, ...]:
    """The numbers one can order for a place, numbers of exactly that position first.

    A number that the catalogue retired without naming the next one is not offered.
    """
    fitting = [part for part in parts if part.position in (position, "")]
    ends = {_end(part, parts).key: _end(part, parts) for part in fitting}
    chosen = [end for end in ends.values() if not end.retired]
    chosen.sort(key=lambda part: (part.position != position, part.number))
    return tuple(_living(end, parts) for end in chosen)


def living_number(parts: Sequence[CataloguePart], typed: str) -> Living | None:
    """What to order when `typed` was asked for; None when the catalogue does not know it."""
    wanted = normal(typed)
    for part in parts:
        if normal(part.number) == wanted:
            end = _end(part, parts)
            return None if end.retired else _living(end, parts)
    return None


def normal(number: str) -> str:
    """Spaces, hyphens and small letters do not make another part number."""
    return "".join(sign for sign in number.upper() if sign.isalnum())


def _end(part: CataloguePart, parts: Iterable[CataloguePart]) -> CataloguePart:
    """Follow to the last number. A ring of numbers stops where it closes."""
    by_key = {one.key: one for one in parts}
    seen = {part.key}
    while part.superseded_by is not None and part.superseded_by in by_key:
        following = by_key[part.superseded_by]
        if following.key in seen:
            break
        seen.add(following.key)
        part = following
    return part


def _living(end: CataloguePart, parts: Iterable[CataloguePart]) -> Living:
    replaced = [part.number for part in _before(end, list(parts))]
    return Living(end.number, end.supplier, end.price, tuple(reversed(replaced)))


def _before(end: CataloguePart, parts: list[CataloguePart]) -> Iterator[CataloguePart]:
    """The numbers that led here, newest first; side branches follow the main line."""
    waiting, seen = [end.key], {end.key}
    while waiting:
        key = waiting.pop(0)
        for part in parts:
            if part.superseded_by == key and part.key not in seen:
                seen.add(part.key)
                waiting.append(part.key)
                yield part
