"""Keeping the clock of each repair: what was handed over, how long it held, when it came back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

from django.db import transaction

from jobs.models import Repair
from jobs.queries.repairs import due
from jobs.services.kept_later import put_off
from shop.models import Vehicle, Workshop

CHUNK = 400  # vehicles at a time
_COLUMNS = (
    "vehicle_id",
    "system_id",
    "component_id",
    "technician_id",
    "supplier",
    "batch",
    "no_fault_found",
    "handed_day",
    "handed_m",
    "seen_day",
    "back_day",
)


@transaction.atomic
def refresh(vehicle: Vehicle) -> None:
    """Keep the repairs of one vehicle. Five queries, and one for each kind of change."""
    if not put_off():
        _keep(*due(Vehicle.objects.filter(pk=vehicle.pk)))


@transaction.atomic
def rebuild(workshop: Workshop, *, say: Callable[[str], None] = lambda _line: None) -> int:
    """Work all of a workshop's out anew; how many rows were not as they should be."""
    wrong = 0
    for rows, kept in _of_the_workshop(workshop):
        wrong += len(_differing(rows, kept))
        _keep(rows, kept)
    say(f"{workshop}: repairs")
    return wrong


def differences(workshop: Workshop) -> list[str]:
    """Which rows are not as they follow from the jobs, a line each. Writes nothing."""
    return [
        f"repair {key}: is not as its job says"
        for rows, kept in _of_the_workshop(workshop)
        for key in _differing(rows, kept)
    ]


def _of_the_workshop(workshop: Workshop) -> Iterator[tuple[list[Repair], list[Repair]]]:
    keys = list(
        Vehicle.objects.filter(workshop=workshop).order_by("pk").values_list("pk", flat=True)
    )
    for at in range(0, len(keys), CHUNK):
        yield due(Vehicle.objects.filter(pk__in=keys[at : at + CHUNK]))


def _columns(row: Repair) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in _COLUMNS)


def _differing(rows: list[Repair], kept: list[Repair]) -> list[int]:
    now = {row.pk: _columns(row) for row in kept}
    then = {row.pk: _columns(row) for row in rows}
    return sorted(key for key in now.keys() | then.keys() if now.get(key) != then.get(key))


def _keep(rows: list[Repair], kept: list[Repair]) -> None:
    now = {row.pk: row for row in kept}
    made: list[Repair] = []
    changed: dict[tuple[tuple[str, object], ...], list[int]] = defaultdict(list)
    for row in rows:
        was = now.pop(row.pk, None)
        if was is None:
            made.append(row)
        elif _columns(was) != _columns(row):
            new = zip(_COLUMNS, _columns(row), _columns(was), strict=True)
            changed[tuple((name, to) for name, to, old in new if to != old)].append(row.pk)
    if now:
        # Its order was declined or struck out after all; what was thought to be its comebacks
        # goes with it.
        for row in now.values():
            row.comebacks.all().delete()
        Repair.objects.filter(pk__in=now).delete()
    for columns, keys in changed.items():
        Repair.objects.filter(pk__in=keys).update(**dict(columns))
    Repair.objects.bulk_create(made, batch_size=500)
