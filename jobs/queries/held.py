"""Held parts: what must be sent, what may go, whose credit is awaited. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from enum import StrEnum

from django.db.models import Case, Count, F, Q, QuerySet, When
from django.http import Http404
from django.utils import timezone

from jobs.holding import Due, Held, Why, caution, due
from jobs.models import HeldPart, RepairOrder
from jobs.queries.estimate import place_words
from jobs.queries.terms import terms_of
from shop import clock
from shop.actor import Actor
from shop.money import total
from shop.units import format_value

State = HeldPart.State


class List(StrEnum):
    """The lists of held parts; the value stands in the address."""

    HELD = ""
    SEND = "send"
    OVERDUE = "overdue"
    GIVE = "give"
    MAY_GO = "may-go"
    CREDIT = "credit"
    GONE = "gone"


def as_held(row: HeldPart, keep_days: int | None = None) -> Held:
    """The row as the rules of jobs.holding see it."""
    closed = row.replacement.complaint.order.closed_at
    if keep_days is None:
        keep_days = terms_of(row.workshop).keep_replaced_days
    return Held(
        Why(row.why),
        row.hold_until,
        row.asked_for_on,
        timezone.localtime(closed).date() if closed else None,
        keep_days,
    )


def in_list(actor: Actor, which: List) -> QuerySet[HeldPart]:
    """The parts of one list, the most pressing first."""
    rows: QuerySet[HeldPart] = HeldPart.objects.of(actor).select_related(
        "workshop",
        "supplier",
        "replacement__component",
        "replacement__unit_off",
        "replacement__complaint__order__vehicle",
    )
    keep_days = terms_of(actor.workshop).keep_replaced_days
    rows = rows.filter(_condition(which, keep_days))
    if which is List.GONE:
        return rows.order_by("-closed_at", "-pk")
    if which is List.CREDIT:
        return rows.order_by("closed_at", "pk")
    if which in (List.SEND, List.OVERDUE):
        by = Case(When(asked_for_on__isnull=False, then=F("asked_for_on")), default=F("hold_until"))
        return rows.order_by(by, "pk")
    return rows.order_by("hold_until", "pk")


def _condition(which: List, keep_days: int) -> Q:
    if which is List.GONE:
        return Q(closed_at__isnull=False)
    if which is List.CREDIT:
        return Q(why=Why.CORE, state=State.SENT, credited_at__isnull=True)
    held = Q(closed_at__isnull=True)
    if which is List.HELD:
        return held
    today = clock.today()
    asked = Q(asked_for_on__isnull=False)
    to_send = asked | Q(why=Why.CORE)
    passed = Q(asked_for_on__lt=today) | Q(
        asked_for_on__isnull=True, why=Why.CORE, hold_until__lt=today
    )
    if which is List.SEND:
        return held & to_send
    if which is List.OVERDUE:
        return held & passed
    free = ~to_send & Q(hold_until__lt=today) & _left_before(keep_days)
    if which is List.MAY_GO:
        return held & free
    return held & Q(why=Why.CUSTOMER) & ~to_send & ~free


def _left_before(keep_days: int) -> Q:
    """Jobs closed so long ago that their replaced parts need not be kept any more."""
    first_kept = clock.today() - timedelta(days=keep_days)
    midnight = timezone.make_aware(datetime.combine(first_kept, time.min))
    return Q(replacement__complaint__order__closed_at__lt=midnight)


def counts(actor: Actor) -> dict[List, int]:
    """How many stand in each list. Three queries; each has an index of its own to go by, so that
    what is gone is never read."""
    keep_days = terms_of(actor.workshop).keep_replaced_days
    kept = [which for which in List if which not in (List.GONE, List.CREDIT)]
    found = (
        HeldPart.objects.of(actor)
        .filter(closed_at__isnull=True)
        .aggregate(**{one.name: Count("pk", filter=_condition(one, keep_days)) for one in kept})
    )
    credit = HeldPart.objects.of(actor).filter(_condition(List.CREDIT, keep_days)).count()
    return {**{one: found[one.name] for one in kept}, List.CREDIT: credit}


@dataclass(frozen=True, slots=True)
class Row:
    """One held part as a list shows it."""

    held: HeldPart
    due: Due
    where: str

    @property
    def order(self) -> RepairOrder:
        order: RepairOrder = self.held.replacement.complaint.order
        return order

    @property
    def is_open(self) -> bool:
        return bool(self.held.state == State.HELD)


def rows_of(actor: Actor, found: list[HeldPart]) -> tuple[Row, ...]:
    """What is to be done with each today. One query."""
    keep, today = terms_of(actor.workshop).keep_replaced_days, clock.today()
    return tuple(
        Row(row, due(as_held(row, keep), today), place_words(row.replacement.position))
        for row in found
    )


@dataclass(frozen=True, slots=True)
class Credits:
    """Sums over cores: awaited now; and of the last twelve months what came for what."""

    awaited: Decimal
    expected: Decimal
    received: Decimal


def credits_of(actor: Actor) -> Credits:
    """Two queries, one row a core; money is never added in SQL."""
    cores = HeldPart.objects.of(actor).filter(why=Why.CORE).order_by()
    awaited = cores.filter(state=State.SENT, credited_at__isnull=True)
    came = cores.filter(credited_at__gte=clock.now() - timedelta(days=365))
    pairs = list(came.values_list("credit_expected", "credit_received"))
    return Credits(
        total(amount or Decimal(0) for amount in awaited.values_list("credit_expected", flat=True)),
        total(expected or Decimal(0) for expected, _received in pairs),
        total(received or Decimal(0) for _expected, received in pairs),
    )


def get_held(actor: Actor, number: str) -> HeldPart:
    """The tag of that number in the actor's workshop, or 404."""
    found = tags(actor).filter(number__iexact=number).first()
    if found is None:
        raise Http404
    return found


def tags(actor: Actor) -> QuerySet[HeldPart]:
    """With everything that a tag's page and its label say."""
    rows: QuerySet[HeldPart] = HeldPart.objects.of(actor).select_related(
        "workshop",
        "supplier",
        "held_by",
        "closed_by",
        "replacement__component__system",
        "replacement__unit_off__failure_mode",
        "replacement__fitted_by",
        "replacement__complaint__order__vehicle",
        "replacement__complaint__order__customer",
    )
    return rows


def held_of(order: RepairOrder) -> tuple[HeldPart, ...]:
    """What came off in this job and was tagged. One query."""
    rows = HeldPart.objects.filter(replacement__complaint__order=order)
    return tuple(rows.select_related("replacement__component", "supplier").order_by("serial"))


@dataclass(frozen=True, slots=True)
class Label:
    """What a printed tag says. `caution` is empty when the part is clean by its nature."""

    held: HeldPart
    where: str
    send_by: date | None
    odometer: str
    caution: str


def label_of(row: HeldPart) -> Label:
    component = row.replacement.component
    unit = row.replacement.unit_off
    distance = unit.left_at_m if unit else None
    shown = format_value(distance, row.workshop.distance_unit) if distance is not None else ""
    return Label(
        row,
        place_words(row.replacement.position),
        as_held(row, 0).send_by,
        shown,
        caution(component.system.key, component.key),
    )
