"""Kinds of components: those of several platforms that have the same key. Nothing here writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from diagnostics.models import Component, FailureMode, PartNumber
from jobs.models import FittedUnit
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Kind:
    """`platforms`: the code of the platform of each component of it. `fitted`: it is put right by
    fitting another; a wire or a tyre is not, so that none of them ever counts as failed."""

    key: str
    name: str
    platforms: dict[int, str]
    fitted: bool = True

    @property
    def components(self) -> tuple[int, ...]:
        return tuple(self.platforms)


def kinds_of(actor: Actor) -> tuple[Kind, ...]:
    """All of which a unit was seen in this workshop and that are put right by fitting another, in
    the order of their names. One query."""
    return tuple(kind for kind in seen_kinds(actor) if kind.fitted)


def names_of(actor: Actor) -> dict[str, str]:
    """Of every kind of which a unit was seen in this workshop. One query."""
    return {kind.key: kind.name for kind in seen_kinds(actor)}


def kind_of(key: str) -> Kind | None:
    """The kind of that key, with every platform that has one, or None. One query."""
    found = _gathered(_components().filter(key=key))
    return found[0] if found else None


def seen_kinds(actor: Actor) -> tuple[Kind, ...]:
    """All of which a unit was seen in this workshop, with the platforms alone on which it was, in
    the order of their names. One query."""
    seen = FittedUnit.objects.of(actor).filter(component=OuterRef("pk"))
    return _gathered(_components().annotate(seen=Exists(seen)), lambda row: bool(row.seen))  # type: ignore[attr-defined]


def _components() -> QuerySet[Component]:
    """With whether another can be ordered, or was ever fitted."""
    ordered = PartNumber.objects.filter(component=OuterRef("pk"))
    fitted = FittedUnit.objects.filter(component=OuterRef("pk"), entry=FittedUnit.Entry.FITTED)
    rows = Component.objects.annotate(fitted=Exists(ordered) | Exists(fitted))
    return rows.select_related("platform").order_by("name", "key", "platform__code")


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


def _gathered(
    rows: Iterable[Component], some: Callable[[Component], bool] = lambda _row: True
) -> tuple[Kind, ...]:
    """Of the rows that `some` takes. Where these bear different names, the kind has the shortest
    that any platform gives it, which says what they have in common."""
    every: dict[str, list[Component]] = {}
    for row in rows:
        every.setdefault(row.key, []).append(row)
    kinds = []
    for key, all_of_it in every.items():
        taken = [row for row in all_of_it if some(row)]
        if not taken:
            continue
        names = {row.name for row in taken}
        if len(names) > 1:
            names = {min((row.name for row in all_of_it), key=lambda name: (len(name), name))}
        platforms = {row.pk: row.platform.code for row in taken}
        fitted = any(row.fitted for row in all_of_it)  # type: ignore[attr-defined]
        kinds.append(Kind(key, names.pop(), platforms, fitted))
    return tuple(sorted(kinds, key=lambda kind: (kind.name.casefold(), kind.key)))
