"""The Counter: what to order, what is on its way, what to hand over, what to send back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from jobs.models import SupplyReturn
from jobs.queries import job_parts, on_the_way
from jobs.queries.job_parts import Job
from jobs.queries.on_the_way import Coming
from jobs.queries.to_order import Need, needs
from shop.actor import Actor

AT_ONCE = 20  # rows of one list while all of them stand on the page
PER_PAGE = 40


class List(StrEnum):
    """The Counter's lists; the value is the one in the address."""

    TO_ORDER = "to-order"
    ORDERED = "ordered"
    HERE = "here"


@dataclass(frozen=True, slots=True)
class SupplierNeeds:
    """What to order from one supplier; `name` is empty when none is named."""

    name: str
    needs: tuple[Need, ...]


@dataclass(frozen=True, slots=True)
class Counts:
    """In pieces, `to_order` as the rows add up. `complete` counts jobs, `back` returns."""

    to_order: int
    way: int
    late: int
    complete: int
    back: int


@dataclass(frozen=True, slots=True)
class Counter:
    """`pages` has one page for each list shown; `counts` always all of them."""

    counts: Counts
    pages: dict[List, Page[Any]]
    suppliers: tuple[SupplierNeeds, ...]
    ordered: tuple[Coming, ...]
    jobs: tuple[Job, ...]
    back: tuple[SupplyReturn, ...]


def counter(actor: Actor, only: List | None = None, page: str | None = None) -> Counter:
    """All lists, or one of them paged. The number of queries does not grow with rows."""
    shown = [only] if only else list(List)
    per_page = PER_PAGE if only else AT_ONCE
    wanted = needs(actor)
    rows: dict[List, Any] = {
        List.TO_ORDER: wanted,
        List.ORDERED: on_the_way.orders_awaited(actor),
        List.HERE: job_parts.here(actor),
    }
    pages = {which: Paginator(rows[which], per_page).get_page(page) for which in shown}
    found: dict[List, list[Any]] = {which: list(pages[which]) for which in shown}
    jobs = job_parts.jobs_of(found.get(List.HERE, []))
    return Counter(
        counts=_counts(actor, wanted),
        pages=pages,
        suppliers=by_supplier(found.get(List.TO_ORDER, [])),
        ordered=on_the_way.coming(found.get(List.ORDERED, [])),
        jobs=jobs,
        back=() if only else tuple(unsent_returns(actor)[:AT_ONCE]),
    )


def by_supplier(found: Sequence[Need]) -> tuple[SupplierNeeds, ...]:
    grouped = groupby(found, key=lambda need: need.supplier)
    return tuple(SupplierNeeds(name, tuple(own)) for name, own in grouped)


def unsent_returns(actor: Actor) -> QuerySet[SupplyReturn]:
    rows = SupplyReturn.objects.of(actor).filter(credited_at__isnull=True, sent_at__isnull=True)
    return rows.select_related("supplier").order_by("opened_at", "pk")


def _counts(actor: Actor, wanted: Sequence[Need]) -> Counts:
    way, late = on_the_way.pieces_awaited(actor)
    return Counts(
        to_order=sum(need.to_order for need in wanted),
        way=way,
        late=late,
        complete=job_parts.jobs_complete(actor),
        back=unsent_returns(actor).count(),
    )
