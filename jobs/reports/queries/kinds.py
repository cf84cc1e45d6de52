"""Kinds of components: those of several platforms that have the same key. Nothing here writes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from diagnostics.models import Component, FailureMode
from jobs.models import FittedUnit
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Kind:
    """`platforms`: the code of the platform of each component of it."""

    key: str
    name: str
    platforms: dict[int, str]

    @property
    def components(self) -> tuple[int, ...]:
        return tuple(self.platforms)


def kinds_of(actor: Actor) -> tuple[Kind, ...]:
    """All of which a unit was seen in this workshop, in the order of their names. One query."""
    seen = FittedUnit.objects.of(actor).filter(component=OuterRef("pk"))
    rows = Component.objects.filter(Exists(seen)).select_related("platform")
    return _gathered(rows.order_by("name", "key", "platform__code"))


def kind_of(key: str) -> Kind | None:
    """The kind of that key, with every platform that has one, or None. One query."""
    rows = Component.objects.filter(key=key).select_related("platform")
    found = _gathered(rows.order_by("name", "key", "platform__code"))
    return found[0] if found else None


@dataclass(frozen=True, slots=True)
class Modes:
    """How a kind fails: on each platform a row of its own, here one under each key."""

    words: dict[str, str]
    keys: dict[int, str]


def modes_of(kind: Kind) -> Modes:
    """One query."""
    found = FailureMode.objects.filter(component__in=kind.components).order_by("words", "pk")
    rows = list(found.values_list("pk", "key", "words"))
    words = {key: said for _pk, key, said in reversed(rows)}
    return Modes(words, {pk: key for pk, key, _said in rows})


def _gathered(rows: Iterable[Component]) -> tuple[Kind, ...]:
    kinds: dict[str, Kind] = {}
    for row in rows:
        kind = kinds.setdefault(row.key, Kind(row.key, row.name, {}))
        kind.platforms[row.pk] = row.platform.code
    return tuple(sorted(kinds.values(), key=lambda kind: (kind.name.casefold(), kind.key)))
