"""The terms of coverage of one catalogue version. Written once, never edited."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.figures import si
from diagnostics.catalogue.schema import CoverageEntry, PromisedOf
from diagnostics.models import (
    CatalogueVersion,
    ChassisSystem,
    Component,
    CoverageTerm,
    FailureMode,
)
from shop import units

_KINDS = {
    PromisedOf.VEHICLE: CoverageTerm.Kind.VEHICLE_WARRANTY,
    PromisedOf.UNIT: CoverageTerm.Kind.PARTS_WARRANTY,
}


def write_coverage(
    book: Book,
    version: CatalogueVersion,
    systems: Mapping[str, ChassisSystem],
    components: Mapping[str, Component],
) -> None:
    """Write every term with what it speaks of. The book must be sound."""
    entries = [placed.entry for placed in book.coverage.values()]
    rows = [
        _term(entry, key, number, version)
        for number, (key, entry) in enumerate(zip(book.coverage, entries, strict=True), 1)
    ]
    CoverageTerm.objects.bulk_create(rows)
    modes = _modes(entries, components)
    for row, entry in zip(rows, entries, strict=True):
        _link(row, "systems", (systems[key] for key in entry.systems))
        _link(row, "components", (components[key] for key in entry.components))
        _link(row, "left_out", (components[key] for key in entry.left_out))
        named = {components[key].pk for key in entry.components}
        wanted = set(entry.failure_modes)
        _link(
            row,
            "failure_modes",
            (mode for mode in modes if mode.component_id in named and mode.key in wanted),
        )


def _term(entry: CoverageEntry, key: str, number: int, version: CatalogueVersion) -> CoverageTerm:
    distance = entry.distance
    return CoverageTerm(
        version=version,
        key=key,
        order=number,
        kind=_KINDS[entry.of],
        name=entry.name,
        months=entry.months,
        distance_m=None if distance is None else round(si(distance, units.Kind.LENGTH)),
        percent=entry.bears,
        first_year=entry.first_year,
        last_year=entry.last_year,
        supplier=entry.supplier,
        source=entry.source,
    )


def _modes(
    entries: Collection[CoverageEntry], components: Mapping[str, Component]
) -> list[FailureMode]:
    """Failure modes that some term speaks of; no query where none does."""
    named = {components[key].pk for one in entries if one.failure_modes for key in one.components}
    return list(FailureMode.objects.filter(component__in=named)) if named else []


def _link(row: CoverageTerm, name: str, things: Iterable[Any]) -> None:
    through = getattr(CoverageTerm, name).through
    field = through._meta.get_fields()[-1].attname
    through.objects.bulk_create(
        through(coverageterm_id=row.pk, **{field: thing.pk}) for thing in things
    )
