"""Writing checked catalogue pages into the database: all of them, or none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import models, transaction

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.schema import PartCondition, PartEntry
from diagnostics.models import (
    CatalogueVersion,
    ChassisSystem,
    Component,
    Curve,
    FailureMode,
    Figure,
    FlagPointer,
    LabourOperation,
    Limit,
    PartNumber,
    Quantity,
    Step,
)
from diagnostics.services.catalogue_pages import Stock, write_pages
from diagnostics.services.quantities import derived
from shop import clock
from shop.errors import Refusal
from shop.models import Platform

# Rows of the catalogue itself; any other row that names a component is a fact about a vehicle.
_OWN_ROWS = (Curve, FailureMode, Figure, FlagPointer, LabourOperation, Limit, PartNumber, Step)


@dataclass(frozen=True)
class Loaded:
    """What came of loading one platform. `changed` is False when the pages were there already."""

    code: str
    number: int
    changed: bool
    retired: tuple[str, ...] = ()


@transaction.atomic
def load_all(books: Iterable[Book]) -> list[Loaded]:
    """Load every book in one transaction. Raises Refusal, and then nothing is written."""
    return [_load(book) for book in books]


def _load(book: Book) -> Loaded:
    platform = _platform(book)
    digest = book.digest()
    latest = platform.versions.order_by("-number").first()
    if latest is not None and latest.digest == digest:
        return Loaded(book.code, latest.number, changed=False)
    stock, retired = _stock(book, platform)
    version = CatalogueVersion.objects.create(
        platform=platform,
        number=latest.number + 1 if latest else 1,
        digest=digest,
        title=book.platform.entry.title,
        loaded_at=clock.now(),
    )
    write_pages(book, version, stock)
    return Loaded(book.code, version.number, changed=True, retired=retired)


def _platform(book: Book) -> Platform:
    entry = book.platform.entry
    said = {
        "make": entry.make,
        "model": entry.model,
        "body": entry.body,
        "notice": entry.shown_notice,
        "first_year": entry.first_year,
        "last_year": entry.last_year,
    }
    platform, _ = Platform.objects.update_or_create(code=entry.code, defaults=said)
    return Platform.objects.select_for_update().get(pk=platform.pk)


def _stock(book: Book, platform: Platform) -> tuple[Stock, tuple[str, ...]]:
    """Bring the rows that outlive versions up to date, and say which are retired by it."""
    systems = _systems(book)
    quantities = _quantities(book)
    gone = _gone_components(book, platform)
    components = _components(book, platform, systems)
    gone += _failure_modes(book, components) + _parts(book, components)
    return Stock(systems, quantities, components), tuple(gone)


def _systems(book: Book) -> dict[str, ChassisSystem]:
    ChassisSystem.objects.bulk_create(
        (
            ChassisSystem(key=key, name=placed.entry.name, order=placed.entry.order)
            for key, placed in book.systems.items()
        ),
        update_conflicts=True,
        unique_fields=["key"],
        update_fields=["name", "order"],
    )
    return {row.key: row for row in ChassisSystem.objects.filter(key__in=book.systems)}


def _quantities(book: Book) -> dict[str, Quantity]:
    for row in Quantity.objects.filter(key__in=book.quantities):
        placed = book.quantities[row.key]
        if row.kind != placed.entry.kind:
            raise Refusal(
                f"{placed}: {row.key} is stored as a {row.kind}, and readings may rest on it; "
                f"give the {placed.entry.kind} a key of its own."
            )
    Quantity.objects.bulk_create(
        (
            Quantity(
                key=key, name=placed.entry.name, kind=placed.entry.kind, unit=placed.entry.unit
            )
            for key, placed in book.quantities.items()
        ),
        update_conflicts=True,
        unique_fields=["key"],
        update_fields=["name", "unit"],
    )
    rows = {row.key: row for row in Quantity.objects.filter(key__in=book.quantities)}
    return rows | derived(book.worked_out)


def _components(
    book: Book, platform: Platform, systems: Mapping[str, ChassisSystem]
) -> dict[str, Component]:
    Component.objects.bulk_create(
        (
            Component(
                platform=platform,
                key=key,
                name=placed.entry.name,
                system=systems[placed.entry.system],
                positions=" ".join(placed.entry.positions),
                description=placed.entry.description,
                retired=placed.entry.retired,
            )
            for key, placed in book.components.items()
        ),
        update_conflicts=True,
        unique_fields=["platform", "key"],
        update_fields=["name", "system", "positions", "description", "retired"],
    )
    return {row.key: row for row in platform.components.filter(key__in=book.components)}


def _gone_components(book: Book, platform: Platform) -> list[str]:
    """Components the pages no longer name: retired when nothing rests on them, else refused."""
    gone = platform.components.filter(retired=False).exclude(key__in=book.components)
    for component in gone:
        uses = _uses(component)
        if uses:
            raise Refusal(
                f"{book.platform.source.name}: the component {component.key} ({component.name}) is "
                f"gone from the pages of {platform.code}, but {uses} on it. Keep it in the "
                "file and write `retired: yes`, or give it its old key back."
            )
    keys = [component.key for component in gone]
    gone.update(retired=True)
    return keys


def _uses(component: Component) -> str:
    """How many facts stand on a component, in words; empty when none does."""
    found: list[str] = []
    total = 0
    for relation in Component._meta.get_fields(include_hidden=True):
        if not isinstance(relation, models.ManyToOneRel):
            continue
        model = relation.related_model
        if model is Component or issubclass(model, _OWN_ROWS):
            continue
        count = model._base_manager.filter(**{relation.field.name: component}).count()
        if count:
            meta = model._meta
            found.append(f"{count} {meta.verbose_name if count == 1 else meta.verbose_name_plural}")
            total += count
    return f"{' and '.join(found)} {'stands' if total == 1 else 'stand'}" if found else ""


def _failure_modes(book: Book, components: Mapping[str, Component]) -> list[str]:
    wanted = [
        FailureMode(component=components[key], key=mode, words=words, retired=False)
        for key, placed in book.components.items()
        for mode, words in placed.entry.failure_modes.items()
    ]
    FailureMode.objects.bulk_create(
        wanted,
        update_conflicts=True,
        unique_fields=["component", "key"],
        update_fields=["words", "retired"],
    )
    named = {(row.component_id, row.key) for row in wanted}
    rows = FailureMode.objects.filter(component__in=components.values(), retired=False)
    gone = [
        row for row in rows.select_related("component") if (row.component_id, row.key) not in named
    ]
    FailureMode.objects.filter(pk__in=[row.pk for row in gone]).update(retired=True)
    return [f"{row.component.key}: {row.key}" for row in gone]


def _parts(book: Book, components: Mapping[str, Component]) -> list[str]:
    wanted = [
        PartNumber(
            component=components[placed.entry.component],
            position=position,
            number=number,
            supplier=placed.entry.supplier,
            price=placed.entry.price,
            cost=placed.entry.cost,
            core_credit=placed.entry.core,
            condition=_condition(placed.entry),
            superseded_by=None,
            retired=placed.entry.retired,
        )
        for number, placed in book.parts.items()
        for position in placed.entry.positions or ("",)
    ]
    PartNumber.objects.bulk_create(
        wanted,
        update_conflicts=True,
        unique_fields=["component", "position", "number"],
        update_fields=[
            "supplier",
            "price",
            "cost",
            "core_credit",
            "condition",
            "superseded_by",
            "retired",
        ],
    )
    platform_rows = PartNumber.objects.filter(component__in=components.values())
    rows = {(row.number, row.component_id, row.position): row for row in platform_rows}
    _supersede(book, rows)
    named = {(row.number, row.component_id, row.position) for row in wanted}
    gone = [row for place, row in rows.items() if place not in named and not row.retired]
    PartNumber.objects.filter(pk__in=[row.pk for row in gone]).update(
        retired=True, superseded_by=None
    )
    return [f"part {row.number} {row.position}".strip() for row in gone]


def _condition(entry: PartEntry) -> str:
    """What is not said to be anything else is new, and new is not written down."""
    return "" if entry.condition is PartCondition.NEW else entry.condition.value


def _supersede(book: Book, rows: Mapping[tuple[str, int, str], PartNumber]) -> None:
    changed: list[PartNumber] = []
    for (number, component, position), row in rows.items():
        placed = book.parts.get(number)
        follows = placed.entry.superseded_by if placed else None
        if follows is None:
            continue
        next_row = rows.get((follows, component, position)) or rows.get((follows, component, ""))
        row.superseded_by = next_row
        changed.append(row)
    PartNumber.objects.bulk_update(changed, ["superseded_by"])
