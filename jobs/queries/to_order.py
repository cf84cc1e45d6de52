"""What must be ordered: gathered over jobs, less what lies free and what comes anyway."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Count, F, Q
from django.utils.translation import gettext as _

from diagnostics.models import Component
from jobs.models import Complaint, Payer, RepairOrder, Replacement, StockItem, SupplyLine
from jobs.queries.estimate import place_words
from jobs.queries.shelf_advice import top_ups
from jobs.queries.shelf_position import Living, Position, living_of, positions
from jobs.supersession import CataloguePart, normal
from shop import clock
from shop.actor import Actor

State = Replacement.State


@dataclass(frozen=True, slots=True)
class Asking:
    """One job that waits. `covered` says whether a piece lies free for it, or comes anyway."""

    row: Replacement
    where: str
    needed: datetime | None
    overdue: bool
    payer: str
    covered: str  # "shelf", "coming" or ""

    @property
    def order(self) -> RepairOrder:
        return self.row.complaint.order


@dataclass(frozen=True, slots=True)
class Need:
    """One living part number to order, with the numbers it took the place of.

    `free` lies on the shelf for nobody, `coming` is on order for nobody (on `line`, the next
    one); `top_up` is what the shelf itself is short of. `money` says whose money it is.
    """

    key: str
    part_number: str
    replaced: tuple[str, ...]
    text: str
    component: Component | None
    supplier: str
    unit_cost: Decimal
    jobs: tuple[Asking, ...]
    free: int
    coming: int
    top_up: int
    line: SupplyLine | None
    money: str

    @property
    def wanted(self) -> int:
        return len(self.jobs)

    @property
    def to_order(self) -> int:
        return max(0, self.wanted - self.free - self.coming) + self.top_up

    @property
    def mixed(self) -> bool:
        """Whether its jobs are not all paid by the same."""
        return len({job.payer for job in self.jobs}) > 1

    @property
    def needed(self) -> datetime | None:
        return self.jobs[0].needed if self.jobs else None

    @property
    def overdue(self) -> bool:
        return any(job.overdue for job in self.jobs)


def needs(actor: Actor, supplier: str | None = None) -> list[Need]:
    """Everything to order, or of one supplier ("" where none is named). Ten queries at most.

    The supplier whose need is the most urgent comes first, in it the earliest promise.
    """
    rows = list(asking(actor))
    short = {one.part_key: one for one in top_ups(actor)}
    living = living_of({row.component_id for row in rows})
    by_key: dict[str, list[Replacement]] = defaultdict(list)
    for row in rows:
        by_key[normal(living.of(row.part_number)[0])].append(row)
    known = _positions(actor, living, rows)
    lines = _lines_with_room(actor, by_key)
    catalogue = _catalogue(living)
    found = []
    for key in {*by_key, *short}:
        position = short.get(key) or known[key]
        own = by_key.get(key, [])
        found.append(_need(position, own, catalogue.get(key), lines.get(key), key in short))
    if supplier is not None:
        found = [one for one in found if one.supplier == supplier]
    return _by_urgency(found)


def asking(actor: Actor) -> Iterable[Replacement]:
    """The assemblies to order of open jobs, the earliest promise first. One query."""
    rows: Iterable[Replacement] = (
        Replacement.objects.of(actor)
        .filter(state=State.TO_ORDER, complaint__order__closed_at__isnull=True)
        .exclude(complaint__decision=Complaint.Decision.DECLINED)
        .select_related("component", "complaint__order__vehicle__platform")
        .order_by(F("complaint__order__promised_at").asc(nulls_last=True), "pk")
    )
    return rows


def _positions(actor: Actor, living: Living, rows: Sequence[Replacement]) -> dict[str, Position]:
    numbers = {living.of(row.part_number)[0] for row in rows}
    chain = {one for number in numbers for one in (number, *living.of(number)[1])}
    typed = {row.part_number for row in rows}
    items = StockItem.objects.of(actor).filter(part_key__in={normal(one) for one in chain | typed})
    return positions(actor, items.select_related("supplier"), living, numbers)


def _lines_with_room(actor: Actor, keys: Iterable[str]) -> dict[str, SupplyLine]:
    """For each part the next line on which a piece is promised to no job. One query."""
    rows = (
        SupplyLine.objects.of(actor)
        .filter(awaited__gt=0, part_key__in=list(keys))
        .select_related("order")
        .annotate(promised=Count("replacements", filter=Q(replacements__state=State.ORDERED)))
        .filter(awaited__gt=F("promised"))
        .order_by("-expected_on", "-pk")
    )
    return {row.part_key: row for row in rows}


def _catalogue(living: Living) -> dict[str, CataloguePart]:
    return {normal(part.number): part for own in living.parts.values() for part in own}


def _need(
    position: Position,
    rows: Sequence[Replacement],
    part: CataloguePart | None,
    line: SupplyLine | None,
    topped: bool,
) -> Need:
    first = rows[0] if rows else None
    free, coming = max(0, position.free), position.coming
    superseded = first is not None and normal(first.part_number) != position.part_key
    named = first.supplier if first and not superseded else ""
    cost = position.unit_cost or (first.cost if first and first.cost else Decimal(0))
    return Need(
        key=position.part_key,
        part_number=position.part_number,
        replaced=position.replaced,
        text=str(first.component) if first else position.text,
        component=first.component if first else None,
        supplier=named
        or (part.supplier if part else "")
        or position.supplier
        or (first.supplier if first else ""),
        unit_cost=cost,
        jobs=tuple(_asking(row, _cover(at, free, coming)) for at, row in enumerate(rows)),
        free=free,
        coming=coming,
        top_up=position.missing if topped else 0,
        line=line,
        money=_money([row.complaint for row in rows]),
    )


def _cover(at: int, free: int, coming: int) -> str:
    if at < free:
        return "shelf"
    return "coming" if at < free + coming else ""


def _asking(row: Replacement, covered: str) -> Asking:
    needed = row.complaint.order.promised_at
    return Asking(
        row=row,
        where=place_words(row.position),
        needed=needed,
        overdue=bool(needed and needed < clock.now()),
        payer=_money([row.complaint]),
        covered=covered,
    )


def _money(complaints: Sequence[Complaint]) -> str:
    """Whose money it is; empty for what only the shelf asks."""
    if not complaints:
        return ""
    payers = {_payer(one) for one in complaints}
    customer = str(Payer.CUSTOMER.label)
    if payers == {customer}:
        return _("customer’s money")
    if customer in payers:
        return _("customer and payers")
    return _("%(payer)s only") % {"payer": " / ".join(sorted(payers))}


def _payer(complaint: Complaint) -> str:
    """Who bears all of it; what is shared is the customer's money too."""
    alone = complaint.payer != Payer.CUSTOMER and complaint.payer_percent == 100
    return str(Payer(complaint.payer).label if alone else Payer.CUSTOMER.label)


def _by_urgency(found: list[Need]) -> list[Need]:
    def when(need: Need) -> tuple[bool, float]:
        return (need.needed is None, need.needed.timestamp() if need.needed else 0.0)

    first: dict[str, tuple[bool, float]] = {}
    for need in found:
        first[need.supplier] = min(first.get(need.supplier, when(need)), when(need))
    return sorted(
        found,
        key=lambda need: (first[need.supplier], need.supplier, when(need), need.part_number),
    )
