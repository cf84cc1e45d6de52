"""The proving sheet: the release checklist, each missing thing with the way to enter it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.models import RepairOrder, RoadTest
from jobs.proving_rule import DriveNeeds, to_a_tenth
from jobs.queries.proof import drive_needs, proof_of
from jobs.release_rules import Item, Where, checklist
from shop.models import Workshop


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the checklist; `url` is one tap to where it is entered, `act` says what to do."""

    item: Item
    url: str
    act: str


@dataclass(frozen=True, slots=True)
class ProvingSheet:
    entries: tuple[Entry, ...]
    road_tests: QuerySet[RoadTest]
    needs: DriveNeeds
    needs_distance: str
    needs_speed: str

    @property
    def missing(self) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.entries if not entry.item.done)

    @property
    def complete(self) -> bool:
        return not self.missing

    @property
    def next(self) -> Entry | None:
        return self.missing[0] if self.missing else None

    @property
    def wants_road_test(self) -> bool:
        return any(entry.item.key is Where.ROAD_TEST for entry in self.missing)

    @property
    def done_count(self) -> int:
        return len(self.entries) - len(self.missing)


def proving_sheet(order: RepairOrder) -> ProvingSheet:
    items = checklist(proof_of(order))
    needs = drive_needs(order)
    miles = order.workshop.distance_unit == Workshop.Distance.MI
    distance, speed = ("mi", "mph") if miles else ("km", "km/h")
    return ProvingSheet(
        entries=tuple(Entry(item, _url(order, item), _act(item)) for item in items),
        road_tests=order.road_tests.select_related("by", "odometer").order_by("-at", "-pk"),
        needs=needs,
        needs_distance=to_a_tenth(needs.min_distance_m, distance),
        needs_speed=to_a_tenth(needs.self_test_speed_mps, speed),
    )


def _act(item: Item) -> str:
    return {
        Where.CONCLUDE: _("Conclude"),
        Where.FLAGS_CLEAR: _("Record the clearing"),
        Where.ROAD_TEST: _("Enter the road test"),
        Where.LAMPS: _("Look at the lamps"),
        Where.FLAGS: _("Read the flags"),
        Where.READINGS: _("Take it again"),
        Where.CORRECTION: _("Write the correction"),
    }[item.key]


def _url(order: RepairOrder, item: Item) -> str:
    slug, session = order.workshop.slug, order.session_id
    if item.key in (Where.CONCLUDE, Where.CORRECTION):
        if not item.line:
            return reverse("order", args=[slug, order.number])
        address = reverse(str(item.key), args=[slug, order.number, item.line])
        return f"{address}?back=proving"
    if item.key is Where.ROAD_TEST:
        return "#road-test"
    if item.key is Where.READINGS:
        quantity, component, position = item.place
        asked = {"quantity": quantity, "component": component, "position": position}
        return f"{reverse('readings', args=[slug, session])}?{urlencode(asked)}"
    name = "lamps" if item.key is Where.LAMPS else "flags"
    return reverse(name, args=[slug, session])
