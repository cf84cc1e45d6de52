"""One job of the history: the rows of its pattern with new keys, names, days and distances."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from django.db.models import Max, Model

from jobs.demo.history.patterns import Pattern, Table
from jobs.models import (
    EstimateLine,
    Invoice,
    LabourLine,
    OtherLine,
    Payment,
    RepairOrder,
    Replacement,
)
from shop import units
from shop.models import LogEntry, OdometerReading

Row = list[Any]
_KEYED: Mapping[str, type[Model]] = {
    "part": Replacement,
    "labour": LabourLine,
    "other": OtherLine,
}  # as jobs.queries.priced.row_key names rows of a job


@dataclass(slots=True)
class Keys:
    """The next key of each table: what is written in bulk brings its own."""

    following: dict[type[Model], int] = field(default_factory=dict)

    def take(self, model: type[Model], many: int = 1) -> int:
        """The first of so many new keys."""
        if model not in self.following:
            last = model._default_manager.aggregate(last=Max("pk"))["last"]
            self.following[model] = int(last or 0) + 1
        first = self.following[model]
        self.following[model] = first + many
        return first


@dataclass(frozen=True, slots=True)
class Again:
    """What makes a copy another job. `names`: what texts call things, by what the pattern's call
    them; `columns`: what stands in a column, by table; `units`: off and on, by replacement."""

    shift: timedelta
    metres: int
    people: Mapping[int, int]
    names: Mapping[str, str]
    columns: Mapping[type[Model], Mapping[str, Any]]
    units: Mapping[int, tuple[int, int]]


class Copy:
    """A pattern on its way to another job: its tables with the first of their new keys."""

    def __init__(self, pattern: Pattern, again: Again, keys: Keys) -> None:
        self.pattern, self.again = pattern, again
        self.places = {table.model: table.keys for table in pattern.tables}
        self.firsts = {
            table.model: keys.take(table.model, len(table.rows)) for table in pattern.tables
        }

    @property
    def order(self) -> int:
        return self.firsts[RepairOrder]

    def rows_of(self, table: Table) -> list[Row]:
        """The rows of one table as the new job has them."""
        made = [self._row(table, place, list(row)) for place, row in enumerate(table.rows)]
        names, names_of = self.pattern.names, self.again.names
        for place, column in table.spoken:
            made[place][column] = names.sub(
                lambda found: names_of.get(found.group(), found.group()), made[place][column]
            )
        self._of_its_own(table, made)
        return made

    def _row(self, table: Table, place: int, row: Row) -> Row:
        again = self.again
        for column in (*table.times, *table.days):
            if row[column] is not None:
                row[column] += again.shift
        for column in table.people:
            row[column] = again.people.get(row[column], row[column])
        for column, model in table.links.items():
            row[column] = self._moved(model, row[column])
        for name, new in again.columns.get(table.model, {}).items():
            row[table.at(name)] = new
        row[table.at("id")] = self.firsts[table.model] + place
        return row

    def _moved(self, model: type[Model], key: int | None) -> int | None:
        place = None if key is None else self.places[model].get(key)
        return None if place is None else self.firsts[model] + place

    def _of_its_own(self, table: Table, made: list[Row]) -> None:
        """What no foreign key says: distances, keys in texts, units, whose log line it is."""
        if table.model is OdometerReading:
            metres, typed = table.at("distance_m"), table.at("typed_value")
            for row in made:
                row[metres] += self.again.metres
                row[typed] = shown_km(row[metres])
        elif table.model is EstimateLine:
            for row in made:
                row[table.at("row")] = self._row_key(row[table.at("row")])
        elif table.model is LogEntry:
            for row in made:
                row[table.at("subject_id")] = self.order
        elif table.model is Replacement:
            self._fit(table, made)

    def _fit(self, table: Table, made: list[Row]) -> None:
        """Other units come off and go on; the part counts as fetched for this job."""
        for row, old in zip(made, table.rows, strict=True):
            off, on = self.again.units.get(old[table.at("id")], (None, None))
            row[table.at("unit_off_id")], row[table.at("unit_on_id")] = off, on
            row[table.at("supply_line_id")], row[table.at("order_reference")] = None, ""

    def _row_key(self, text: str) -> str:
        kind, _colon, key = text.partition(":")
        return f"{kind}:{self._moved(_KEYED[kind], int(key))}" if kind in _KEYED else text


@dataclass(slots=True)
class Written:
    """All rows of the history by table, in the order of the table's columns."""

    keys: Keys = field(default_factory=Keys)
    rows: dict[type[Model], list[Row]] = field(default_factory=lambda: defaultdict(list))

    def add(self, pattern: Pattern, again: Again) -> int:
        """One more job; the key of its order."""
        copy = Copy(pattern, again, self.keys)
        for table in pattern.tables:
            self.rows[table.model] += copy.rows_of(table)
        return copy.order


def shown_km(metres: int) -> str:
    """A distance as an odometer is written down."""
    return units.format_number(metres / 1000, decimals=0)


def papers(pattern: Pattern, numbers: Mapping[type[Model], str]) -> dict[str, str]:
    """The new number of the order, its invoice and its receipt, by the old one."""
    names: dict[str, str] = {}
    for table in pattern.tables:
        if table.model in (RepairOrder, Invoice, Payment):
            names |= {row[table.at("number")]: numbers[table.model] for row in table.rows}
    return names
