"""The Desk: open jobs by whose move it is, oldest promise first, and what exactly is awaited."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from jobs.models import RepairOrder
from jobs.queries.awaiting import Detail, details_for
from jobs.queries.coverage_page import ending_for
from jobs.queries.facts import facts_for
from jobs.queries.orders import orders_of
from jobs.queries.stub import WHOSE
from jobs.stages import Stage
from jobs.whose_move import Awaited, Whose, awaited
from shop import clock
from shop.actor import Actor
from shop.roles import Role


@dataclass(frozen=True, slots=True)
class Row:
    """One job at the Desk. `waiting_since` is when the awaited thing began to be awaited."""

    order: RepairOrder
    first_words: str
    more: int
    awaits: Awaited
    detail: Detail
    overdue: bool
    ends_soon: str = ""  # coverage of a complaint that ends within weeks or a short way

    @property
    def waiting_since(self) -> datetime:
        return self.detail.since or self.order.stage_since


@dataclass(slots=True)
class Group:
    """The jobs that wait for one place. `mine` is the person's own move."""

    name: str | Promise
    mine: bool = False
    rows: list[Row] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Desk:
    groups: tuple[Group, ...]
    count: int
    overdue: int
    unsafe: int


def desk_of(actor: Actor) -> Desk:
    """Every open job of the workshop; the number of queries does not depend on how many."""
    orders = list(
        orders_of(actor)
        .filter(closed_at__isnull=True)
        .order_by("promised_at", "serial")
        .prefetch_related("complaints")
    )
    facts = facts_for(orders)
    details = details_for(orders)
    ending = ending_for([row for order in orders for row in order.complaints.all()])
    now = clock.now()
    rows = [
        replace(
            _row(order, awaited(Stage(order.stage), facts[order.pk]), details[order.pk], now),
            ends_soon=ending.get(order.pk, ""),
        )
        for order in orders
    ]
    # A job promised to nobody for any time comes after those that were.
    rows.sort(key=lambda row: row.order.promised_at is None)
    return Desk(
        groups=tuple(_grouped(actor, rows)),
        count=len(rows),
        overdue=sum(1 for row in rows if row.overdue),
        unsafe=sum(1 for row in rows if row.order.unsafe),
    )


def _row(order: RepairOrder, awaits: Awaited, detail: Detail, now: datetime) -> Row:
    words = [complaint.words for complaint in order.complaints.all()]
    return Row(
        order=order,
        first_words=words[0] if words else "",
        more=max(0, len(words) - 1),
        awaits=awaits,
        detail=detail,
        overdue=order.promised_at is not None and order.promised_at < now,
    )


def _grouped(actor: Actor, rows: Iterable[Row]) -> Iterable[Group]:
    mine = Group(_("Your move"), mine=True)
    others: dict[Whose, list[Row]] = defaultdict(list)
    for row in rows:
        if _is_mine(actor, row):
            mine.rows.append(row)
        else:
            others[row.awaits.whose].append(row)
    if mine.rows:
        yield mine
    for whose in Whose:
        if whose in others:
            yield Group(WHOSE[whose], rows=others[whose])


def _is_mine(actor: Actor, row: Row) -> bool:
    if row.awaits.whose is Whose.DESK:
        return Role.MANAGER in actor.roles
    if row.awaits.whose is Whose.BAY:
        return Role.TECHNICIAN in actor.roles and row.order.technician_id == actor.user.pk
    return row.awaits.whose is Whose.COUNTER and Role.COUNTER in actor.roles
