"""What fixtures/demo says, read into types. A slip in a file is told with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from pathlib import Path
from typing import Any, Literal, TypeVar

import yaml
from pydantic import TypeAdapter, ValidationError

from diagnostics.telltales import Lamp, Shown
from jobs.demo.cover_data import Cover
from jobs.demo.house_data import Entry, Household
from jobs.stages import Stage
from shop.roles import Role


class DemoProblem(Exception):
    """The demo world cannot be made; the text says why."""


class Person(Entry):
    name: str
    role: Role
    manner: str = ""


class Place(Entry):
    """A workshop with its bays and its people by sign-in name."""

    name: str
    slug: str
    order_prefix: str
    newest_order: int
    address: str
    phone: str
    labour_rate: Decimal
    bays: tuple[str, ...]
    people: dict[str, Person]


class Parked(Entry):
    """A vehicle as it stands today, distances in km; `sold` where nobody knows when it was."""

    plate: str
    platform: str
    km: int
    a_month: int
    sold: Literal["", "unknown"] = ""
    owner: str
    phone: str


class Cause(Entry):
    component: str
    mode: str
    words: str = ""


class Fault(Entry):
    """How a fault shows itself, is found and is put right; see the head of faults.yaml."""

    words: tuple[str, ...]
    system: str
    lamps: dict[Lamp, Shown] = {}
    module: str = ""
    flag: str | dict[str, str] = ""
    status: str = "present_now"
    procedure: str = ""
    before: dict[str, str] = {}
    answers: dict[str, str] = {}
    cause: Cause | None = None
    evidence: tuple[str, ...] = ()
    labour: tuple[str, ...] = ()
    work: str = ""
    hours: float = 0.0
    assembly: str = ""
    correction: str
    safe_again: str = ""

    def flag_at(self, corner: str) -> str:
        return self.flag if isinstance(self.flag, str) else self.flag[corner]


class Line(Entry):
    """One complaint of a visit: a fault, at a corner, in the customer's words."""

    fault: str
    at: str = ""
    words: str = ""


class NotCured(Entry):
    """What somebody else finds after a repair did not hold."""

    fault: str
    by: str


class Worked(Entry):
    """Something worked out on the way: the texts of its form, and the file if there is one."""

    kind: str
    at: str = ""
    typed: dict[str, str | tuple[str, ...]]
    capture: str = ""
    note: str = ""


class Bill(StrEnum):
    """How far the bill of a visit has come; paid where nothing is said."""

    PAID = "paid"
    NONE = "none"
    OWED = "owed"
    PART = "part"
    CREDITED = "credited"
    CASH_TODAY = "cash_today"
    CARD_TODAY = "card_today"


class Kept(StrEnum):
    """What became of the parts taken off; cleared away where nothing is said."""

    CLEARED = "cleared"
    STAYS = "stays"
    AWAITED = "awaited"


class ClockLeft(StrEnum):
    """How the technician left the clock of an open job."""

    OFF = "off"
    RUNNING = "running"
    FORGOTTEN = "forgotten"
    CORRECTED = "corrected"


class OtherRow(Entry):
    kind: str
    text: str
    quantity: Decimal
    price: Decimal
    supplier: str = ""


class Extra(Entry):
    text: str
    tenths: int
    reason: str


class Goodwill(Entry):
    percent: Decimal
    because: str


class EvidenceAfter(Entry):
    """The claim went out at once and was refused in these words: nothing carried the cause."""

    payer: str
    reference: str
    words: str


class Returned(Entry):
    """Of what kind the service manager decides this return is, and on what that rests."""

    cause: Literal["workmanship", "part", "wrong_diagnosis", "not_found", "not_ours", "unrelated"]
    because: str


class VisitRow(Line):
    plate: str
    by: str = ""
    bay: str = ""
    payer: str = ""
    payer_because: str = ""
    serial: str = ""
    without_evidence: bool = False
    evidence_after: EvidenceAfter | None = None
    not_cured: NotCured | None = None
    returned: Returned | None = None
    declined: str = ""
    override: str = ""
    void: str = ""
    also: tuple[Line, ...] = ()
    not_ordered: tuple[str, ...] = ()
    expected_days: int | None = None
    arrived: tuple[str, ...] = ()
    diagnosis: int = 0
    other: tuple[OtherRow, ...] = ()
    extra: Extra | None = None
    goodwill: Goodwill | None = None
    revised: OtherRow | None = None
    parts_back: bool = False
    bill: Bill = Bill.PAID
    held: Kept = Kept.CLEARED
    stop_at: str = ""
    worked: tuple[Worked, ...] = ()


class EarlierVisit(VisitRow):
    """`again`: the history does it again on other vehicles."""

    ago: int
    again: bool = False


class OpenJob(VisitRow):
    """`began` and `promised` in working minutes before and after the load."""

    began: int
    promised: int
    until: Stage
    clock: ClockLeft = ClockLeft.OFF


class _Vehicles(Entry):
    tyres: dict[str, str]
    vin_of: dict[str, str]
    places: dict[str, tuple[Parked, ...]]


@dataclass(frozen=True, slots=True)
class World:
    """Everything the files hold; vehicles, visits and open jobs by the slug of the workshop."""

    places: tuple[Place, ...]
    tyres: Mapping[str, str]
    vin_of: Mapping[str, str]
    vehicles: Mapping[str, tuple[Parked, ...]]
    faults: Mapping[str, Fault]
    earlier: Mapping[str, tuple[EarlierVisit, ...]]
    morning: Mapping[str, tuple[OpenJob, ...]]
    households: Mapping[str, Household]
    cover: Mapping[str, Cover]


T = TypeVar("T")


def read_world(folder: Path) -> World:
    """Read and check the files. Raises DemoProblem."""
    cars: Any = _tree(folder, "vehicles")
    tyres, vin_of = cars.pop("tyres"), cars.pop("vin_of")
    stock = _as(_Vehicles, {"tyres": tyres, "vin_of": vin_of, "places": cars}, "vehicles")
    world = World(
        places=_as(tuple[Place, ...], _tree(folder, "workshops"), "workshops"),
        tyres=stock.tyres,
        vin_of=stock.vin_of,
        vehicles=stock.places,
        faults=_as(dict[str, Fault], _tree(folder, "faults"), "faults"),
        earlier=_as(dict[str, tuple[EarlierVisit, ...]], _tree(folder, "visits"), "visits"),
        morning=_as(dict[str, tuple[OpenJob, ...]], _tree(folder, "morning"), "morning"),
        households=_as(dict[str, Household], _tree(folder, "houses"), "houses"),
        cover=_as(dict[str, Cover], _tree(folder, "cover"), "cover"),
    )
    for place in world.places:
        _check_references(world, place)
    return world


def _tree(folder: Path, name: str) -> Any:
    return yaml.safe_load((folder / f"{name}.yaml").read_text(encoding="utf-8"))


def _as(shape: type[T], tree: Any, name: str) -> T:
    try:
        return TypeAdapter(shape).validate_python(tree)
    except ValidationError as error:
        raise DemoProblem(f"fixtures/demo/{name}.yaml: {error}") from error


def _check_references(world: World, place: Place) -> None:
    plates = {car.plate for car in world.vehicles[place.slug]}
    rows: tuple[VisitRow, ...] = (*world.earlier[place.slug], *world.morning[place.slug])
    cover = world.cover[place.slug]
    of_cover = {row.plate for row in cover.contracts} | {row.plate for row in cover.campaigns}
    of_cover |= {row.plate for row in cover.claims}
    for plate in of_cover - plates:
        raise DemoProblem(f"{place.name}, cover.yaml, {plate}: no vehicle has this plate.")
    for row in rows:
        here = f"{place.name}, {row.plate}, {row.fault}"
        if row.plate not in plates:
            raise DemoProblem(f"{here}: no vehicle of that workshop has this plate.")
        if row.by and row.by not in place.people:
            raise DemoProblem(f"{here}: nobody called {row.by} works there.")
        unknown = {row.fault, *(line.fault for line in row.also)} - world.faults.keys()
        if unknown:
            raise DemoProblem(f"{here}: faults.yaml has no {', '.join(sorted(unknown))}.")
