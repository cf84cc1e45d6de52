"""The history written into the database in bulk, after the told jobs and beside them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connection, connections
from django.db.models import (
    BooleanField,
    CharField,
    Field,
    ForeignKey,
    IntegerField,
    Model,
    TextField,
)
from django.utils.timezone import localtime, make_aware

from diagnostics.models import Component, Session
from jobs.demo.data import World
from jobs.demo.history.copying import Again, Written, papers, shown_km
from jobs.demo.history.draw import Drawn
from jobs.demo.history.numbers import PAPERS, serials
from jobs.demo.history.owners import Owners
from jobs.demo.history.patterns import day_words
from jobs.demo.history.plan import Done
from jobs.demo.people import House
from jobs.demo.vehicles import vin
from jobs.models import (
    Complaint,
    FittedUnit,
    Invoice,
    Payment,
    RepairOrder,
)
from jobs.queries.stub import vehicle_words
from shop.models import Customer, OdometerReading, Platform, Vehicle
from shop.roles import Role
from shop.search_keys import plate_key
from shop.tyres import parse_tyre

_ROWS_AT_ONCE = 2000
_AS_THEY_ARE = (BooleanField, CharField, ForeignKey, IntegerField, TextField)


@dataclass(slots=True)
class Known:
    """A drawn vehicle in the books."""

    drawn: Drawn
    vehicle: Vehicle
    owner: Customer


class Writer:
    """Writes the history of one workshop. `now`: the moment of loading."""

    def __init__(self, house: House, world: World, now: datetime, rng: Random) -> None:
        self.house, self.world, self.now, self.rng = house, world, now, rng
        self.today = localtime(now).date()
        self.written = Written()
        self.units: list[FittedUnit] = []
        self.on: dict[tuple[int, int, str], FittedUnit] = {}
        self.serials = 0
        self.platforms = {one.code: one for one in Platform.objects.all()}

    # -------------------------------------------------------------- vehicles

    def vehicles(self, drawn: Sequence[Drawn]) -> list[Known]:
        """Owners and vehicles, each with a plate and a VIN of its own."""
        owners = Owners(self.rng)
        taken = set(Vehicle.objects.values_list("plate", flat=True))
        people = [owners.next(self.house.workshop) for _one in drawn]
        Customer.objects.bulk_create(people, batch_size=_ROWS_AT_ONCE)
        rows = [
            self._vehicle(one, owner, owners.plate(taken), number)
            for number, (one, owner) in enumerate(zip(drawn, people, strict=True))
        ]
        Vehicle.objects.bulk_create(rows, batch_size=_ROWS_AT_ONCE)
        return [Known(*row) for row in zip(drawn, rows, people, strict=True)]

    def _vehicle(self, drawn: Drawn, owner: Customer, plate: str, number: int) -> Vehicle:
        sold = self.today + timedelta(days=drawn.in_service)
        size = self.world.tyres[drawn.platform]
        tyre = parse_tyre(size)
        return Vehicle(
            workshop=self.house.workshop,
            vin=vin(self.world.vin_of[drawn.platform], sold.year, 500_000 + number),
            plate=plate,
            plate_key=plate_key(plate),
            platform=self.platforms[drawn.platform],
            model_year=sold.year,
            tyre_size=size,
            tyre_width_mm=tyre.width_mm,
            tyre_aspect=tyre.aspect,
            tyre_rim_in=tyre.rim_in,
            in_service_on=sold,
            customer=owner,
        )

    def glances(self, known: Sequence[Known]) -> None:
        """Contacts without a job: somebody looked at the tyres and wrote the distance down."""
        desk = self.house.holder(Role.MANAGER).user
        rows = [
            OdometerReading(
                workshop=self.house.workshop,
                vehicle=one.vehicle,
                read_at=make_aware(
                    datetime.combine(self.today + timedelta(days=contact.day), time(10, 5))
                ),
                distance_m=one.drawn.km_on(contact.day) * 1000,
                typed_value=shown_km(one.drawn.km_on(contact.day) * 1000),
                typed_unit="km",
                seen=OdometerReading.Seen.NOTED,
                by=desk,
            )
            for one in known
            for contact in one.drawn.contacts
            if contact.work is None
        ]
        OdometerReading.objects.bulk_create(rows, batch_size=_ROWS_AT_ONCE)

    # -------------------------------------------------------------- jobs

    def jobs(self, done: Sequence[Done], known: Sequence[Known]) -> dict[int, int]:
        """All jobs in their order; by place in `done` the key of the order."""
        many: dict[type[Model], int] = {
            RepairOrder: len(done),
            Invoice: sum(job.pattern.invoices for job in done),
            Payment: sum(job.pattern.payments for job in done),
        }
        numbers = {model: serials(self.house.workshop, model, many[model]) for model in PAPERS}
        orders = {}
        for place, job in enumerate(done):
            orders[place] = self._job(job, known[job.of], numbers)
        self._flush()
        return orders

    def _job(self, job: Done, known: Known, numbers: Mapping[type[Model], Iterator[int]]) -> int:
        pattern = job.pattern
        prefix = self.house.workshop.order_prefix
        counts: dict[type[Model], int] = {
            RepairOrder: 1,
            Invoice: pattern.invoices,
            Payment: pattern.payments,
        }
        serials = {model: next(numbers[model]) for model, many in counts.items() if many}
        papers_of = {
            model: f"{prefix}{PAPERS[model][1]}{serial}" for model, serial in serials.items()
        }
        units = self._units(job, known)
        again = Again(
            shift=job.shift,
            metres=self._metres(job, known),
            people={pattern.order.technician_id or 0: job.technician},
            names=self._names(job, known, units) | papers(pattern, papers_of),
            columns=self._columns(job, known, serials),
            units={key: (off.pk, on.pk) for key, (off, on) in units.items()},
        )
        return self.written.add(pattern, again)

    def _metres(self, job: Done, known: Known) -> int:
        """From the pattern's distance at taking in to this vehicle's."""
        day = (localtime(job.starts).date() - self.today).days
        return known.drawn.km_on(day) * 1000 - job.pattern.order.odometer_in.distance_m

    def _columns(
        self, job: Done, known: Known, serials: Mapping[type[Model], int]
    ) -> dict[type[Model], dict[str, object]]:
        vehicle, owner = known.vehicle.pk, known.owner.pk
        columns: dict[type[Model], dict[str, object]] = {
            RepairOrder: {"vehicle_id": vehicle, "customer_id": owner},
            Session: {"vehicle_id": vehicle},
            Invoice: {"vehicle_words": vehicle_words(RepairOrder(vehicle=known.vehicle))},
            OdometerReading: {"vehicle_id": vehicle},
        }
        for model, serial in serials.items():
            columns.setdefault(model, {})["serial"] = serial
        if job.back_of is not None:
            before = Complaint.objects.get(order=job.back_of.pattern.order)
            columns[Complaint] = {"system_id": _system_of(before)}
        return columns

    def _names(
        self,
        job: Done,
        known: Known,
        units: Mapping[int, tuple[FittedUnit, FittedUnit]],
    ) -> dict[str, str]:
        order, metres = job.pattern.order, self._metres(job, known)
        names = {
            order.vehicle.plate: known.vehicle.plate,
            order.vehicle.vin: known.vehicle.vin,
            order.customer.name: known.owner.name,
            order.customer.phone: known.owner.phone,
        }
        for noon in job.pattern.noons:
            names[day_words(noon)] = day_words(noon + job.shift)
        for reading in job.pattern.distances.values():
            names[reading.typed_value] = shown_km(reading.distance_m + metres)
        for one in job.pattern.units:
            off, on = units[one.pk]
            for old, new in ((one.unit_off, off), (one.unit_on, on)):
                if old is not None and old.serial_number:
                    names[old.serial_number] = new.serial_number or "not given"
            if one.supply_line is not None:
                names[f", {one.supply_line.order.number}"] = ""
                names[f", {one.order_reference}"] = ""
        return names

    def _units(self, job: Done, known: Known) -> dict[int, tuple[FittedUnit, FittedUnit]]:
        """The unit that comes off at each place of the job, and the one that goes on."""
        found = {}
        for one in job.pattern.units:
            if one.unit_on is None or one.unit_off is None or one.fitted_at is None:
                continue
            place = (known.vehicle.pk, one.component_id, one.position)
            off = self.on.get(place) or self._first_seen(known, one.unit_off)
            fitted = localtime(one.fitted_at + job.shift).date()
            metres = one.unit_on.entered_at_m + self._metres(job, known)
            off.exit, off.failure_mode_id = one.unit_off.exit, one.unit_off.failure_mode_id
            off.left_on, off.left_at_m = fitted, metres
            on = self._unit(known, one.unit_on, fitted, metres)
            if one.unit_on.serial_number:
                batch = job.contact.batch or f"{one.supplier[:2].upper()}{fitted:%y%m}"
                self.serials += 1
                on.batch, on.serial_number = batch, f"{batch}-{self.serials:04d}"
            on.part_number, on.supplier = one.unit_on.part_number, one.unit_on.supplier
            on.entry = FittedUnit.Entry.FITTED
            self.on[place] = on
            found[one.pk] = (off, on)
        return found

    def _first_seen(self, known: Known, like: FittedUnit) -> FittedUnit:
        first = min(contact.day for contact in known.drawn.contacts)
        day = self.today + timedelta(days=first)
        unit = self._unit(known, like, day, known.drawn.km_on(first) * 1000)
        if like.serial_number:
            self.serials += 1
            unit.serial_number = f"{like.serial_number[:2]}{self.serials:06d}"
        return unit

    def _unit(self, known: Known, like: FittedUnit, day: date, metres: int) -> FittedUnit:
        unit = FittedUnit(
            pk=self.written.keys.take(FittedUnit),
            workshop=self.house.workshop,
            vehicle=known.vehicle,
            component_id=like.component_id,
            position=like.position,
            entry=FittedUnit.Entry.FIRST_SEEN,
            entered_on=day,
            entered_at_m=metres,
        )
        self.units.append(unit)
        return unit

    # -------------------------------------------------------------- the database

    def _flush(self) -> None:
        FittedUnit.objects.bulk_create(self.units, batch_size=500)
        models: list[type[Model]] = [*self.written.rows, FittedUnit]
        with connection.cursor() as cursor:
            for model, rows in self.written.rows.items():
                statement, ready = _insert(model, rows)
                cursor.executemany(statement, ready)
            for statement in connection.ops.sequence_reset_sql(no_style(), models):
                cursor.execute(statement)


def _insert(model: type[Model], rows: Sequence[Sequence[Any]]) -> tuple[str, list[tuple[Any, ...]]]:
    """The statement that writes a row of a table, and the rows as the database wants them."""
    quote = connection.ops.quote_name
    columns = model._meta.concrete_fields
    names = ", ".join(quote(str(column.column)) for column in columns)
    marks = ", ".join(["%s"] * len(columns))
    table = quote(model._meta.db_table)
    cells = [_as_kept(one, row) for one, row in zip(columns, zip(*rows, strict=True), strict=True)]
    ready = list(zip(*cells, strict=True))
    return f"INSERT INTO {table} ({names}) VALUES ({marks})", ready  # noqa: S608  (names of ours)


def _as_kept(column: Field[Any, Any], values: Sequence[Any]) -> Sequence[Any]:
    """The values of a column as the database wants them; most are wanted as they are."""
    if isinstance(column, _AS_THEY_ARE):
        return values
    database = connections[DEFAULT_DB_ALIAS]
    return [None if value is None else column.get_db_prep_save(value, database) for value in values]


def _system_of(complaint: Complaint) -> int | None:
    conclusion = complaint.conclusion
    component: Component | None = conclusion.component if conclusion else None
    return component.system_id if component else complaint.system_id
