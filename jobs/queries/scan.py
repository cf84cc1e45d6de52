"""Finding the one thing that a scanned or typed text stands for. Nothing here writes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from diagnostics.models import PartNumber
from jobs.models import HeldPart, Invoice, Payment, RepairOrder, Replacement, StockItem, SupplyOrder
from jobs.queries.estimate import assembly_text
from jobs.queries.living_parts import parts_of
from jobs.scanned import Kind, Scanned, read
from jobs.supersession import living_number, normal
from shop.actor import Actor
from shop.models import Vehicle
from shop.roles import Permit

State = Replacement.State
FEW = 20


@dataclass(frozen=True, slots=True)
class Found:
    """`name` and `args` are those of its address, below the workshop's."""

    kind: str
    title: str
    says: str
    name: str
    args: tuple[str | int, ...]
    instead: bool = False  # not what was scanned, but what took its place: to be said first


def scan(actor: Actor, raw: str) -> tuple[Scanned, tuple[Found, ...]]:
    """What was read, and the things of this workshop that it stands for. At most one query a kind.

    A number of our own papers is nothing else; a part on the shelf comes before the jobs it is
    ordered for, because its page names them.
    """
    workshop = actor.workshop
    seen = read(raw, prefix=workshop.order_prefix, workshop=workshop.slug)
    for look in _LOOKS:
        found = tuple(look(actor, seen))
        if found:
            return seen, tuple(dict.fromkeys(found))[:FEW]
    return seen, ()


def _papers(actor: Actor, seen: Scanned) -> Iterator[Found]:
    if keys := seen.keys(Kind.TAG):
        rows = HeldPart.objects.of(actor).select_related("replacement__component")
        for tag in rows.filter(number__in=keys):
            words = f"{tag.replacement.component}, {tag.get_state_display()}"
            yield Found(_("Tag"), tag.number, words, "held-part", (tag.number,))
    if keys := seen.keys(Kind.ORDER):
        rows = RepairOrder.objects.of(actor).select_related("vehicle")
        for order in rows.filter(number__in=keys):
            yield _order(order)
    if keys := seen.keys(Kind.SUPPLY):
        for supply in SupplyOrder.objects.of(actor).filter(number__in=keys):
            words = str(supply.supplier)
            yield Found(
                _("Order to a supplier"), supply.number, words, "supply-order", (supply.number,)
            )
    if (keys := seen.keys(Kind.INVOICE)) and actor.may(Permit.SEE_BILL):
        rows = Invoice.objects.of(actor).select_related("order")
        for bill in rows.filter(number__in=keys):
            words = f"{bill.order.number}, {bill.to_name}"
            yield Found(bill.get_kind_display(), bill.number, words, "invoice", (bill.number,))
        for paid in Payment.objects.of(actor).select_related("invoice").filter(number__in=keys):
            yield Found(_("Receipt"), paid.number, "", "invoice", (paid.invoice.number,))


def _vehicles(actor: Actor, seen: Scanned) -> Iterator[Found]:
    """The job that a vehicle is here for, else the vehicle."""
    vins, plates = seen.keys(Kind.VIN), seen.keys(Kind.PLATE)
    rows: list[Vehicle] = []
    if vins:
        rows += Vehicle.objects.of(actor).filter(vin__in=vins)
    if plates:
        rows += Vehicle.objects.of(actor).filter(plate_key__in=plates)
    if not rows:
        return
    here = RepairOrder.objects.of(actor).filter(vehicle__in=rows, closed_at__isnull=True)
    orders = list(here.select_related("vehicle"))
    yield from (_order(order) for order in orders)
    busy = {order.vehicle_id for order in orders}
    for row in rows:
        if row.pk not in busy:
            yield Found(_("Vehicle"), row.plate or row.vin, row.vin, "vehicle", (row.pk,))


def _shelf(actor: Actor, seen: Scanned) -> Iterator[Found]:
    keys = seen.keys(Kind.PART)
    if keys and actor.may(Permit.SEE_COUNTER):
        for item in StockItem.objects.of(actor).filter(part_key__in=keys):
            yield Found(_("Part"), item.part_number, item.text, "stock-item", (item.pk,))


def _on_jobs(actor: Actor, seen: Scanned) -> Iterator[Found]:
    """Assemblies of jobs that are to be ordered, on their way or here."""
    keys = seen.keys(Kind.PART)
    if not keys or not actor.may(Permit.SEE_COUNTER):
        return
    rows = Replacement.objects.of(actor).filter(
        state__in=[State.TO_ORDER, State.ORDERED, State.RECEIVED]
    )
    fits = [pk for pk, number in rows.values_list("pk", "part_number") if normal(number) in keys]
    chosen = rows.filter(pk__in=fits[:FEW]).select_related("component", "complaint__order")
    for row in chosen:
        words = f"{row.complaint.order}, {row.get_state_display()}"
        yield Found(_("Assembly of a job"), assembly_text(row), words, "part", (row.pk,))


def _superseded(actor: Actor, seen: Scanned) -> Iterator[Found]:
    """An old number on an old box: the number it became, when we have that one. Three queries."""
    keys = seen.keys(Kind.PART)
    if not keys or not actor.may(Permit.SEE_COUNTER):
        return
    old = PartNumber.objects.filter(superseded_by__isnull=False)
    known = old.values_list("component_id", "number")
    fits = [(component, number) for component, number in known if normal(number) in keys]
    parts = parts_of({component for component, number in fits})
    became: dict[str, str] = {}
    for component, number in fits:
        if living := living_number(parts[component], number):
            became[normal(living.number)] = number
    for item in StockItem.objects.of(actor).filter(part_key__in=became):
        words = _("in place of %(number)s: %(text)s")
        says = words % {"number": became[item.part_key], "text": item.text}
        yield Found(_("Part"), item.part_number, says, "stock-item", (item.pk,), instead=True)


def _order(order: RepairOrder) -> Found:
    return Found(_("Job"), order.number, str(order.vehicle), "order", (order.number,))


_LOOKS: Sequence[Callable[[Actor, Scanned], Iterator[Found]]] = (
    _papers,
    _vehicles,
    _shelf,
    _on_jobs,
    _superseded,
)
