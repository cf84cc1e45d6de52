"""The Counter: what to order, what is on its way, what waits to be handed over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import groupby

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, Q, QuerySet
from django.db.models.expressions import OrderBy

from jobs.models import Complaint, RepairOrder, Replacement
from jobs.queries.estimate import place_words
from jobs.queries.living_parts import parts_of
from jobs.stages import Stage
from jobs.supersession import living_parts
from shop import clock
from shop.actor import Actor

State = Replacement.State
AT_ONCE = 30  # rows of one list while all three stand on the page
PER_PAGE = 40


class List(StrEnum):
    """The Counter's lists; the value is the one in the address."""

    TO_ORDER = "to-order"
    ORDERED = "ordered"
    HERE = "here"


@dataclass(frozen=True, slots=True)
class Line:
    """One assembly at the Counter: for which job, from whom, by when.

    `late`: the supplier's day is over. `overdue`: the job was promised for an earlier time.
    `last`: ordered, and the only one of its job that is not here yet.
    """

    row: Replacement
    where: str
    replaced: tuple[str, ...]
    needed: datetime | None
    late: bool
    overdue: bool
    last: bool

    @property
    def order(self) -> RepairOrder:
        return self.row.complaint.order


@dataclass(frozen=True, slots=True)
class Supplier:
    """The assemblies to order from one supplier; `name` is empty when none is named."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Job:
    """One job whose assemblies arrive. `missing` counts those that are not here yet."""

    order: RepairOrder
    lines: tuple[Line, ...]
    missing: int

    @property
    def complete(self) -> bool:
        return self.missing == 0


@dataclass(frozen=True, slots=True)
class Counter:
    """`pages` has one page per list shown; `counts` always all three."""

    counts: dict[List, int]
    pages: dict[List, Page[Replacement]]
    suppliers: tuple[Supplier, ...]
    ordered: tuple[Line, ...]
    jobs: tuple[Job, ...]


def counter(actor: Actor, only: List | None = None, page: str | None = None) -> Counter:
    """The three lists, or one of them paged. The number of queries does not grow with rows."""
    shown = [only] if only else list(List)
    per_page = PER_PAGE if only else AT_ONCE
    pages = {which: Paginator(rows(actor, which), per_page).get_page(page) for which in shown}
    found = {which: _lines(list(pages[which])) for which in shown}
    here = found.get(List.HERE, ())
    return Counter(
        counts=counts(actor),
        pages=pages,
        suppliers=_by_supplier(found.get(List.TO_ORDER, ())),
        ordered=found.get(List.ORDERED, ()),
        jobs=_by_job(here),
    )


def counts(actor: Actor) -> dict[List, int]:
    sums = _open(actor).aggregate(
        **{which.name: Count("pk", filter=_filter(which)) for which in List}
    )
    return {which: sums[which.name] for which in List}


def rows(actor: Actor, which: List) -> QuerySet[Replacement]:
    """One list in its order: by supplier and need, late first, or by job."""
    promised = _soonest("complaint__order__promised_at")
    by: dict[List, tuple[str | OrderBy, ...]] = {
        List.TO_ORDER: ("supplier", promised),
        List.ORDERED: (_soonest("expected_on"), promised),
        List.HERE: (promised, "complaint__order"),
    }
    return _open(actor).filter(_filter(which)).order_by(*by[which], "pk")


def part(actor: Actor, pk: int) -> Replacement | None:
    found: Replacement | None = _rows(actor).filter(pk=pk).first()
    return found


def line(row: Replacement) -> Line:
    return _lines([row])[0]


def _rows(actor: Actor) -> QuerySet[Replacement]:
    return Replacement.objects.of(actor).select_related(
        "component", "complaint__order__vehicle__platform", "complaint__order__workshop"
    )


def _open(actor: Actor) -> QuerySet[Replacement]:
    return _rows(actor).filter(
        complaint__order__closed_at__isnull=True,
        state__in=[State.TO_ORDER, State.ORDERED, State.RECEIVED],
    )


def _filter(which: List) -> Q:
    return {
        List.TO_ORDER: Q(state=State.TO_ORDER),
        List.ORDERED: Q(state=State.ORDERED),
        List.HERE: Q(state=State.RECEIVED, complaint__order__stage=Stage.AWAITING_ASSEMBLY),
    }[which]


def _soonest(field: str) -> OrderBy:
    return F(field).asc(nulls_last=True)


def _lines(found: Sequence[Replacement]) -> tuple[Line, ...]:
    parts = parts_of({row.component_id for row in found}) if found else {}
    ordered = {row.complaint.order_id for row in found if row.state == State.ORDERED}
    missing = _missing(ordered) if ordered else {}
    today, now = clock.today(), clock.now()
    lines = []
    for row in found:
        living = living_parts(parts.get(row.component_id, ()), row.position)
        needed = row.complaint.order.promised_at
        late = row.state == State.ORDERED and row.expected_on and row.expected_on < today
        lines.append(
            Line(
                row=row,
                where=place_words(row.position),
                replaced=next((o.replaced for o in living if o.number == row.part_number), ()),
                needed=needed,
                late=bool(late),
                overdue=bool(needed and needed < now),
                last=_completes(row, missing),
            )
        )
    return tuple(lines)


def _completes(row: Replacement, missing: dict[int, int]) -> bool:
    order = row.complaint.order
    waits = row.state == State.ORDERED and order.stage == Stage.AWAITING_ASSEMBLY
    return waits and missing.get(order.pk) == 1


def _by_supplier(lines: Sequence[Line]) -> tuple[Supplier, ...]:
    grouped = groupby(lines, key=lambda line: line.row.supplier)
    return tuple(Supplier(name, tuple(own)) for name, own in grouped)


def _by_job(lines: Sequence[Line]) -> tuple[Job, ...]:
    if not lines:
        return ()
    missing = _missing({line.order.pk for line in lines})
    grouped = groupby(lines, key=lambda line: line.order)
    return tuple(Job(order, tuple(own), missing.get(order.pk, 0)) for order, own in grouped)


def _missing(order_ids: set[int]) -> dict[int, int]:
    found = (
        Replacement.objects.filter(
            complaint__order__in=order_ids, state__in=[State.TO_ORDER, State.ORDERED]
        )
        .exclude(complaint__decision=Complaint.Decision.DECLINED)
        .order_by()
        .values_list("complaint__order")
        .annotate(Count("pk"))
    )
    return dict(found)
