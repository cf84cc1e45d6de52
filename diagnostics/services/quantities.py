"""Rows for the quantities that the program works out, made when they are first needed."""

from __future__ import annotations

from collections.abc import Iterable

from diagnostics.catalogue.derived import DERIVED
from diagnostics.models import Quantity


def derived(keys: Iterable[str]) -> dict[str, Quantity]:
    """The rows of worked-out quantities by key; one query when all of them are there.

    Raises KeyError for a key that no kind of measurement gives. A name that a shop's pages gave
    the quantity is kept.
    """
    wanted = sorted(set(keys))
    found = {row.key: row for row in Quantity.objects.filter(key__in=wanted)}
    missing = [DERIVED[key] for key in wanted if key not in found]
    if missing:
        Quantity.objects.bulk_create(
            (
                Quantity(key=one.key, name=one.name, kind=str(one.kind), unit=one.unit)
                for one in missing
            ),
            ignore_conflicts=True,
        )
        found = {row.key: row for row in Quantity.objects.filter(key__in=wanted)}
    return found
