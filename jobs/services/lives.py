"""Keeping the lives of units: worked out by jobs.lives from what is known, and written down.

Whatever happens to a vehicle, its lives are worked out again as a whole: so what is kept and what
`manage.py lives` makes anew are the same by construction, and only rows that differ are written.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from django.db import connections, transaction

from jobs.lives.lives import lives_of
from jobs.lives.rows import Life, Place
from jobs.models import FittedUnit
from jobs.queries.lives import Known, known
from jobs.services.kept_later import put_off
from shop.models import Vehicle, Workshop

CHUNK = 400  # vehicles at a time
ROWS = 500  # rows in one statement
_CLOCK = (
    *("in_day", "out_day", "born_day", "in_m", "out_m", "born_m", "left_at_out_m", "m_a_day"),
    *("known_day", "stretch"),
)
_BY_THE_RULES = frozenset({"gone", "elsewhere"})  # exits that no replacement wrote down
Entry = FittedUnit.Entry
_Columns = tuple[tuple[str, object], ...]


@dataclass(slots=True)
class _Changes:
    """Rows to make, to take away, and to change: those with the same new columns together."""

    made: list[FittedUnit] = field(default_factory=list)
    dropped: list[int] = field(default_factory=list)
    changed: dict[_Columns, list[int]] = field(default_factory=lambda: defaultdict(list))

    def lines(self) -> Iterator[str]:
        """What is to be done, for whoever checks."""
        for unit in self.made:
            where = f"vehicle {unit.vehicle_id}, component {unit.component_id} {unit.position}"
            yield f"{where.strip()}: a life from {unit.entered_on} on is missing"
        for pk in self.dropped:
            yield f"unit {pk}: follows from nothing"
        for columns, keys in self.changed.items():
            due = ", ".join(f"{name} {value}" for name, value in columns)
            yield from (f"unit {pk}: should have {due}" for pk in keys)


def lock(vehicle: int) -> None:
    """Whoever else keeps the lives of this vehicle waits until this transaction ends.

    An act that locks the order too takes the vehicle first, so that none waits for the other.
    """
    rows = Vehicle.objects.select_for_update(no_key=True).filter(pk=vehicle)
    list(rows.values_list("pk"))


@transaction.atomic
def refresh(vehicle: Vehicle) -> None:
    """Keep the lives of one vehicle's units. Seven queries, and one for each kind of change."""
    if put_off():
        return
    lock(vehicle.pk)
    _write(_changes(known(Vehicle.objects.filter(pk=vehicle.pk))))


@transaction.atomic
def rebuild(workshop: Workshop, *, say: Callable[[str], None] = lambda _line: None) -> int:
    """Work all lives of a workshop out anew; how many rows were not as they should be.

    The workshop's vehicles wait meanwhile.
    """
    wrong = 0
    list(Vehicle.objects.select_for_update(no_key=True).filter(workshop=workshop).values_list("pk"))
    for changes in _of_the_workshop(workshop, say):
        wrong += _count(changes)
        _write(changes)
    return wrong


def differences(workshop: Workshop) -> list[str]:
    """In which rows what is kept is not what follows from the jobs, a line each. Writes nothing."""
    return [
        line
        for changes in _of_the_workshop(workshop, lambda _line: None)
        for line in changes.lines()
    ]


def _of_the_workshop(workshop: Workshop, say: Callable[[str], None]) -> Iterator[_Changes]:
    keys = list(
        Vehicle.objects.filter(workshop=workshop).order_by("pk").values_list("pk", flat=True)
    )
    for at in range(0, len(keys), CHUNK):
        yield _changes(known(Vehicle.objects.filter(pk__in=keys[at : at + CHUNK])))
        say(f"{workshop}: units of {min(at + CHUNK, len(keys))} of {len(keys)} vehicles")


def _count(changes: _Changes) -> int:
    changed = sum(len(keys) for keys in changes.changed.values())
    return len(changes.made) + len(changes.dropped) + changed


def _changes(vehicles: Iterable[Known]) -> _Changes:
    changes = _Changes()
    for one in vehicles:
        _compare(one, changes)
    return changes


def _compare(one: Known, changes: _Changes) -> None:
    by_key = {row.pk: row for row in one.kept}
    lives = lives_of(one.history)
    named = {life.unit for life in lives if life.unit is not None}
    free: dict[Place, list[FittedUnit]] = defaultdict(list)
    for kept in one.kept:
        if kept.pk not in named:
            free[Place(kept.component_id, kept.position)].append(kept)
    row: FittedUnit | None
    for life in lives:
        row = by_key.get(life.unit) if life.unit is not None else _free(free, life)
        if row is None:
            changes.made.append(_made(one, life))
        elif columns := _differing(row, life):
            changes.changed[columns].append(row.pk)
    # What no life claims was written before the vehicle was known as it is now.
    changes.dropped += [
        left.pk for rows in free.values() for left in rows if left.entry != Entry.FITTED
    ]


def _free(free: dict[Place, list[FittedUnit]], life: Life) -> FittedUnit | None:
    rows = free.get(life.place, [])
    for at, row in enumerate(rows):
        if row.entry == life.entry:
            return rows.pop(at)
    # A place holds one unit: what is written there as still on it is the one.
    for at, row in enumerate(rows):
        if row.left_on is None and not life.exit:
            return rows.pop(at)
    return None


def _differing(row: FittedUnit, life: Life) -> _Columns:
    return tuple((name, new) for name, new in _due(row, life) if getattr(row, name) != new)


def _due(row: FittedUnit, life: Life) -> Iterator[tuple[str, object]]:
    for name in _CLOCK:
        yield name, getattr(life, name)
    if life.entry == "first_seen":
        yield "entered_on", date.fromordinal(life.in_day)
    if life.exit in _BY_THE_RULES or (not life.exit and row.exit in _BY_THE_RULES):
        yield "exit", life.exit
        yield "left_on", date.fromordinal(life.out_day) if life.exit else None
        yield "left_at_m", life.out_m if life.exit else None


def _made(one: Known, life: Life) -> FittedUnit:
    left = date.fromordinal(life.out_day) if life.exit else None
    return FittedUnit(
        workshop_id=one.workshop,
        vehicle_id=one.vehicle,
        component_id=life.place.component,
        position=life.place.position,
        entry=life.entry,
        entered_on=date.fromordinal(life.in_day),
        entered_at_m=life.in_m or 0,
        exit=life.exit,
        left_on=left,
        left_at_m=life.out_m if life.exit else None,
        **{name: getattr(life, name) for name in _CLOCK},
    )


def _write(changes: _Changes) -> None:
    """Places are made free before something else comes there."""
    FittedUnit.objects.filter(pk__in=changes.dropped).delete()
    for names, rows in groupby(sorted(changes.changed.items(), key=_ends_first), key=_names):
        _update(names, [(columns, key) for columns, keys in rows for key in keys])
    FittedUnit.objects.bulk_create(changes.made, batch_size=ROWS)


def _update(names: tuple[str, ...], rows: list[tuple[_Columns, int]]) -> None:
    """One statement for all that change the same columns: thousands do, each to values of its own,
    and an UPDATE built for each would take most of the time."""
    connection = connections[FittedUnit.objects.db]
    by_name = {field.name: field for field in FittedUnit._meta.concrete_fields}
    fields = [by_name[name] for name in names]
    quoted = connection.ops.quote_name
    to = ", ".join(f"{quoted(str(field.column))} = %s" for field in fields)
    table, key = quoted(FittedUnit._meta.db_table), quoted("id")
    values = [
        (
            *(
                field.get_db_prep_save(value, connection)
                for field, (_name, value) in zip(fields, columns, strict=True)
            ),
            pk,
        )
        for columns, pk in rows
    ]
    with connection.cursor() as cursor:
        cursor.executemany(f"UPDATE {table} SET {to} WHERE {key} = %s", values)  # noqa: S608


def _names(change: tuple[_Columns, list[int]]) -> tuple[str, ...]:
    return tuple(name for name, _value in change[0])


def _ends_first(change: tuple[_Columns, list[int]]) -> tuple[bool, tuple[str, ...]]:
    return dict(change[0]).get("left_on") is None, _names(change)
