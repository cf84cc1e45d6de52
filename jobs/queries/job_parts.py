"""The assemblies of jobs as the Counter shows them: one of them, and those that lie here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.db.models import Count, Exists, F, OuterRef, QuerySet

from jobs.models import Complaint, RepairOrder, Replacement
from jobs.queries.estimate import place_words
from jobs.queries.living_parts import parts_of
from jobs.stages import Stage
from jobs.supersession import living_parts
from shop import clock
from shop.actor import Actor

State = Replacement.State


@dataclass(frozen=True, slots=True)
class Line:
    """One assembly at the Counter: for which job, from whom, by when.

    `late`: the supplier's day is over. `overdue`: the job was promised for an earlier time.
    """

    row: Replacement
    where: str
    replaced: tuple[str, ...]
    needed: datetime | None
    late: bool
    overdue: bool

    @property
    def order(self) -> RepairOrder:
        return self.row.complaint.order


@dataclass(frozen=True, slots=True)
class Job:
    """One job whose assemblies lie here. `missing` counts those that do not."""

    order: RepairOrder
    lines: tuple[Line, ...]
    missing: int

    @property
    def complete(self) -> bool:
        return self.missing == 0


def rows_of(actor: Actor) -> QuerySet[Replacement]:
    return Replacement.objects.of(actor).select_related(
        "component",
        "complaint__order__vehicle__platform",
        "complaint__order__workshop",
        "supply_line__order",
    )


def here(actor: Actor) -> QuerySet[Replacement]:
    """What lies here and is not handed over, job by job.

    Jobs that wait for nothing more come first, in both the earliest promise.
    """
    promised = F("complaint__order__promised_at").asc(nulls_last=True)
    return _lying_here(actor).order_by(_waits_for_more(), promised, "complaint__order", "pk")


def jobs_complete(actor: Actor) -> int:
    """How many jobs can be handed over now. One query."""
    whole = _lying_here(actor).filter(~_waits_for_more()).order_by()
    return whole.values("complaint__order").distinct().count()


def _lying_here(actor: Actor) -> QuerySet[Replacement]:
    return rows_of(actor).filter(
        state=State.RECEIVED, complaint__order__stage=Stage.AWAITING_ASSEMBLY
    )


def _waits_for_more() -> Exists:
    return Exists(_missing_of().filter(complaint__order=OuterRef("complaint__order")))


def part(actor: Actor, pk: int) -> Replacement | None:
    found: Replacement | None = rows_of(actor).filter(pk=pk).first()
    return found


def line(row: Replacement) -> Line:
    return lines_of([row])[0]


def lines_of(found: Sequence[Replacement]) -> tuple[Line, ...]:
    """One query for the catalogue's numbers, however many rows."""
    parts = parts_of({row.component_id for row in found}) if found else {}
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
            )
        )
    return tuple(lines)


def jobs_of(rows: Sequence[Replacement]) -> tuple[Job, ...]:
    """The rows by their jobs, in their order. Two queries."""
    if not rows:
        return ()
    lines = lines_of(rows)
    missing = _missing({line.order.pk for line in lines})
    grouped = groupby(lines, key=lambda line: line.order)
    return tuple(Job(order, tuple(own), missing.get(order.pk, 0)) for order, own in grouped)


def _missing_of() -> QuerySet[Replacement]:
    rows: QuerySet[Replacement] = Replacement.objects.filter(
        state__in=[State.TO_ORDER, State.ORDERED]
    )
    return rows.exclude(complaint__decision=Complaint.Decision.DECLINED).order_by()


def _missing(order_ids: set[int]) -> dict[int, int]:
    found = (
        _missing_of()
        .filter(complaint__order__in=order_ids)
        .values_list("complaint__order")
        .annotate(Count("pk"))
    )
    return dict(found)
