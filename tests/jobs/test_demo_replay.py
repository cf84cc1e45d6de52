"""Jobs that the demo's past wrote in bulk, acted once more through the services: the same rows.

Vehicles of the past are chosen so that every pattern occurs among their jobs, and some return. In a
workshop that knows nothing of them each is put down anew, seen on the same days, and its jobs are
told as their pattern was told, by who did them. What the manager decided is decided. Then all that
reports count is compared, column by column.

Left out are keys and numbers, which cannot be the same (of a serial number it is asked whether
there is one); and what a copy is said not to carry (jobs/demo/history/patterns.py): with which
order to a supplier a part came.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db.models import ForeignKey, Model
from pytest_django import DjangoDbBlocker

from diagnostics.models import Conclusion, Session
from jobs.demo import household
from jobs.demo.data import EarlierVisit, World, read_world
from jobs.demo.people import House, Opening
from jobs.demo.vehicles import Car
from jobs.demo.visit import Plan, Storyteller
from jobs.demo.world import FIXTURES, earlier_plan
from jobs.models import (
    Claim,
    ClockEntry,
    Comeback,
    Complaint,
    FittedUnit,
    Invoice,
    InvoiceLine,
    LabourLine,
    NumberSeries,
    OtherLine,
    Payment,
    Repair,
    RepairOrder,
    Replacement,
    StageMove,
)
from jobs.services import comebacks, rebuilt
from jobs.services.kept_later import later
from shop import clock
from shop.models import Customer, OdometerReading, User, Vehicle, Workshop
from shop.roles import Role
from shop.services import odometer
from shop.services.odometer import OdometerInput
from tests.jobs.demo_made import NOW, ZONE, made, undone

SLUG = "millrace"
_HERE = "-here"


@dataclass(frozen=True, slots=True)
class Pattern:
    """A told job and the visit that told it."""

    row: EarlierVisit
    order: RepairOrder
    car: Car


@dataclass(frozen=True, slots=True)
class AsPatternGoes(Car):
    """Shows what the pattern's vehicle showed, from this vehicle's own distance on."""

    shift: timedelta = timedelta()
    further_km: int = 0

    def shows(self, moment: datetime, extra_km: int = 0) -> OdometerInput:
        days = (self.today - (moment - self.shift).astimezone(ZONE).date()).days
        km = self.row.km - round(self.row.a_month * days / 30.44)
        return OdometerInput(str(km + extra_km + self.further_km), "km")


def smaller_world() -> World:
    """Millrace with the visits that are done again, and nothing else under way."""
    whole = read_world(FIXTURES / "demo")
    again = tuple(row for row in whole.earlier[SLUG] if row.again)
    plates = {row.plate for row in again}
    cover = whole.cover[SLUG].model_copy(
        update={"claims": (), "files": (), "contracts": (), "campaigns": ()}
    )
    return replace(
        whole,
        places=tuple(place for place in whole.places if place.slug == SLUG),
        vehicles={SLUG: tuple(car for car in whole.vehicles[SLUG] if car.plate in plates)},
        earlier={SLUG: again},
        morning={SLUG: ()},
        households={SLUG: whole.households[SLUG].model_copy(update={"supply": (), "away": None})},
        cover={SLUG: cover},
    )


class Replay:
    """The other workshop, and the jobs that are done there as they were written here."""

    def __init__(self, world: World) -> None:
        self.world, self.here = world, Workshop.objects.get(slug=SLUG)
        self.patterns = self._patterns()
        self.house = self._house()
        self.acted: dict[int, Vehicle] = {}
        self.jobs = 0

    def _patterns(self) -> dict[str, Pattern]:
        """By the words of the complaint, which a copy keeps."""
        cars = {car.plate: car for car in self.world.vehicles[SLUG]}
        found = {}
        for row in self.world.earlier[SLUG]:
            orders = RepairOrder.objects.filter(workshop=self.here, vehicle__plate=row.plate)
            day = earlier_plan(SLUG, row, NOW).starts.date()
            order = next(one for one in orders if one.taken_in_at.astimezone(ZONE).date() == day)
            car = Car(cars[row.plate], order.vehicle, NOW.date())
            found[order.complaints.get().words] = Pattern(row, order, car)
        assert len(found) == len(self.world.earlier[SLUG])
        return found

    def _house(self) -> House:
        (place,) = self.world.places
        # Numbers of papers begin alike, for stories depend on them; two workshops may not, and
        # nobody works in two places at the same moment.
        Workshop.objects.filter(pk=self.here.pk).update(order_prefix="W", name="Written")
        for user in User.objects.all():
            User.objects.filter(pk=user.pk).update(username=f"{user.username}{_HERE}")
        opening = Opening(lambda: "slow-barge-9")
        with clock.at(NOW - timedelta(days=560)):
            house = opening.open(place.model_copy(update={"slug": "again"}), orders=0)
            household.set_up(house, self.world.households[SLUG])
        return replace(house, place=place)

    def sample(self) -> list[Vehicle]:
        """The first vehicles that bring every pattern in, and the first three that came back."""
        told = [one.order.vehicle_id for one in self.patterns.values()]
        past = RepairOrder.objects.filter(workshop=self.here).exclude(vehicle__in=told)
        missing, chosen = set(self.patterns), {}
        for order in past.order_by("serial").prefetch_related("complaints"):
            words = order.complaints.all()[0].words
            if words in missing:
                missing.discard(words)
                chosen[order.vehicle_id] = True
        back = Comeback.objects.filter(workshop=self.here).order_by("pk")
        chosen |= dict.fromkeys([one.repair.vehicle_id for one in back[:3]], True)
        assert not missing
        return list(Vehicle.objects.filter(pk__in=chosen))

    def act(self, vehicles: list[Vehicle]) -> None:
        """All contacts of these vehicles in the order of their days."""
        for one in vehicles:
            self.acted[one.pk] = self._put_down(one)
        orders = RepairOrder.objects.filter(vehicle__in=vehicles)
        noted = OdometerReading.Seen.NOTED
        glances = OdometerReading.objects.filter(vehicle__in=vehicles, seen=noted)
        events: list[tuple[datetime, RepairOrder | OdometerReading]] = [
            *((one.taken_in_at, one) for one in orders),
            *((one.read_at, one) for one in glances),
        ]
        with later():
            for at, what in sorted(events, key=lambda event: event[0]):
                if isinstance(what, RepairOrder):
                    self._job(what)
                else:
                    self._look(at, what)
        rebuilt.rebuild(self.house.workshop)
        self._decide()

    def _decide(self) -> None:
        """What was decided of the written returns, at the same moments."""
        for written, acted in self.acted.items():
            rows = Comeback.objects.filter(repair__vehicle=written).exclude(cause="")
            for one in rows.select_related("complaint__order"):
                assert one.decided_at is not None
                same = Comeback.objects.get(
                    repair__vehicle=acted,
                    complaint__order__taken_in_at=one.complaint.order.taken_in_at,
                )
                with clock.at(one.decided_at):
                    comebacks.decide(
                        self.house.holder(Role.MANAGER),
                        act=uuid4(),
                        comeback=same,
                        revision=same.revision,
                        cause=one.cause,
                        reason=one.reason,
                    )

    def _put_down(self, vehicle: Vehicle) -> Vehicle:
        anew = Vehicle.objects.get(pk=vehicle.pk)
        owner = anew.customer
        assert owner is not None
        owner.pk, owner.workshop = None, self.house.workshop
        owner.save(force_insert=True)
        anew.pk, anew.workshop, anew.customer = None, self.house.workshop, owner
        anew.save(force_insert=True)
        return anew

    def _look(self, at: datetime, reading: OdometerReading) -> None:
        with clock.at(at):
            odometer.note(
                self.house.holder(Role.MANAGER),
                self.acted[reading.vehicle_id],
                OdometerInput(str(reading.distance_m // 1000), "km"),
                seen_at=OdometerReading.Seen.NOTED,
                act=uuid4(),
            )

    def _job(self, written: RepairOrder) -> None:
        """The pattern told again: on this vehicle, on these days, by this technician."""
        pattern = self.patterns[written.complaints.get().words]
        shift = written.taken_in_at - pattern.order.taken_in_at
        further = written.odometer_in.distance_m - pattern.order.odometer_in.distance_m
        car = AsPatternGoes(
            pattern.car.row, self.acted[written.vehicle_id], NOW.date(), shift, further // 1000
        )
        plan = earlier_plan(SLUG, pattern.row, NOW)
        fitted = Replacement.objects.filter(complaint__order=written).first()
        serial = fitted.unit_on.serial_number if fitted and fitted.unit_on else ""
        row = pattern.row.model_copy(
            update={
                "words": pattern.order.complaints.get().words,
                "serial": serial,
                "payer": "customer",
                "payer_because": "As it was written.",
            }
        )
        by = written.technician
        assert by is not None
        crew = {**self.house.crew, row.by: self.house.crew[by.username.removesuffix(_HERE)]}
        self._number(pattern)
        teller = Storyteller(replace(self.house, crew=crew), {row.plate: car}, self.world.faults)
        with later():
            order = teller.live(
                Plan(row, _on_the_wall(plan.starts, shift), _on_the_wall(plan.promised_at, shift)),
                NOW,
            )
        self._renumber(order)

    def _number(self, pattern: Pattern) -> None:
        """The pattern's numbers, for its story depends on them."""
        invoice = Invoice.objects.filter(order=pattern.order).first()
        for kind, serial in (
            ("order", pattern.order.serial),
            ("invoice", getattr(invoice, "serial", 0)),
        ):
            if serial:
                NumberSeries.objects.update_or_create(
                    workshop=self.house.workshop, kind=kind, defaults={"last": serial - 1}
                )

    def _renumber(self, order: RepairOrder) -> None:
        """Out of the way of the next job of the same pattern."""
        self.jobs += 1
        serial = 100_000 + self.jobs
        RepairOrder.objects.filter(pk=order.pk).update(serial=serial, number=f"X{serial}")
        Invoice.objects.filter(order=order).update(serial=serial, number=f"XI{serial}")


def _on_the_wall(moment: datetime, shift: timedelta) -> datetime:
    return (moment + shift).astimezone(ZONE)


@pytest.fixture(scope="module")
def replayed(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Replay]:
    world = smaller_world()
    with undone(django_db_blocker):
        made(world)
        with clock.at(NOW):
            replay = Replay(world)
            replay.act(replay.sample())
        yield replay


NUMBERS = frozenset({"workshop", "number", "serial"})
NOT_CARRIED: Mapping[type[Model], frozenset[str]] = {
    Replacement: frozenset({"supply_line", "order_reference"}),
    Payment: frozenset({"reference"}),  # a slip with the number of the invoice
}
OF_VEHICLE: Mapping[type[Model], str] = {
    RepairOrder: "vehicle",
    StageMove: "order__vehicle",
    Complaint: "order__vehicle",
    Conclusion: "session__vehicle",
    LabourLine: "complaint__order__vehicle",
    OtherLine: "complaint__order__vehicle",
    Replacement: "complaint__order__vehicle",
    FittedUnit: "vehicle",
    Repair: "vehicle",
    Comeback: "repair__vehicle",
    Invoice: "order__vehicle",
    InvoiceLine: "invoice__order__vehicle",
    Payment: "invoice__order__vehicle",
    Claim: "complaint__order__vehicle",
    ClockEntry: "complaint__order__vehicle",
    OdometerReading: "vehicle",
}


def rows_of(model: type[Model], vehicle: Vehicle) -> list[dict[str, Any]]:
    """What is compared of each row, in an order that does not depend on keys."""
    left_out = NUMBERS | NOT_CARRIED.get(model, frozenset())
    columns = [one for one in model._meta.concrete_fields if one.name not in left_out]
    people = dict(User.objects.values_list("pk", "display_name"))
    found = []
    for row in model._default_manager.filter(**{OF_VEHICLE[model]: vehicle}).order_by("pk"):
        seen = {}
        for one in columns:
            value = getattr(row, one.attname)
            if isinstance(one, ForeignKey) and one.related_model is User:
                value = people.get(value)
            if isinstance(one, ForeignKey) and not _alike(one.related_model):
                value = value is not None
            elif one.primary_key:
                continue
            seen[one.name] = bool(value) if one.name == "serial_number" else value
        found.append(seen)
    return sorted(found, key=repr)


def _alike(model: Any) -> bool:
    """Whether both workshops point at the same rows of it: the catalogue, and people."""
    if model in (Conclusion, Session, Vehicle, Customer, OdometerReading):
        return False
    return str(model._meta.app_label) != "jobs"


@pytest.mark.parametrize("model", OF_VEHICLE, ids=lambda model: model.__name__)
def test_the_same_rows(replayed: Replay, db: None, model: type[Model]) -> None:
    compared = 0
    for written, acted in replayed.acted.items():
        here = rows_of(model, Vehicle.objects.get(pk=written))
        there = rows_of(model, acted)
        assert here == there
        compared += len(here)
    assert compared or model in (Claim, OtherLine)
