"""Readings side by side: as found and after repair, for each thing at each place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.models import Phase
from diagnostics.queries.picture import ReadingSeen


@dataclass(frozen=True, slots=True)
class Pair:
    """One thing at one place: every value before the repair and after it, in order."""

    quantity: str
    component: str
    where: str
    allowed: str
    source: str
    found: tuple[ReadingSeen, ...]
    repaired: tuple[ReadingSeen, ...]

    @property
    def owed(self) -> bool:
        """Whether it was outside at last before the repair and has not been taken again."""
        standing = [one for one in self.found if not one.replaced]
        return bool(standing) and standing[-1].verdict == "outside" and not self.repaired


def pairs(readings: Iterable[ReadingSeen]) -> tuple[Pair, ...]:
    """Grouped in the order in which each thing was first measured."""
    groups: dict[tuple[str, str, str], list[ReadingSeen]] = {}
    for one in readings:
        groups.setdefault((one.what, one.component, one.position), []).append(one)
    return tuple(_pair(group) for group in groups.values())


def _pair(group: list[ReadingSeen]) -> Pair:
    last = group[-1]
    # What was worked out may have a limit of its own where the pages know none.
    judged = next((one for one in reversed(group) if one.allowed), last)
    return Pair(
        quantity=last.quantity,
        component=last.component,
        where=last.where,
        allowed=judged.allowed,
        source=judged.source,
        found=tuple(one for one in group if one.phase == Phase.AS_FOUND),
        repaired=tuple(one for one in group if one.phase == Phase.AFTER_REPAIR),
    )
