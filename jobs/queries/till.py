"""The Till: jobs done and not invoiced, what customers owe, and what a day brought in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q, QuerySet, Sum
from django.utils import timezone

from jobs.bill import BILLED_WITHIN
from jobs.models import Invoice, LabourLine, OtherLine, Payment, RepairOrder, Replacement
from jobs.queries.orders import orders_of
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.money import cents, total

MANY = 100


@dataclass(frozen=True, slots=True)
class Kind:
    """What came in by cash, card or transfer on one day, and what was paid back."""

    name: str
    came: Decimal
    back: Decimal
    count: int

    @property
    def net(self) -> Decimal:
        return total((self.came, self.back))


@dataclass(frozen=True, slots=True)
class Day:
    """`invoiced` and `credited` are totals with tax, of papers issued on that day."""

    day: date
    payments: tuple[Payment, ...]
    kinds: tuple[Kind, ...]
    papers: tuple[Invoice, ...]

    @property
    def net(self) -> Decimal:
        return total(kind.net for kind in self.kinds)

    @property
    def invoiced(self) -> Decimal:
        return total(paper.total for paper in self.papers if paper.kind == Invoice.Kind.INVOICE)

    @property
    def credited(self) -> Decimal:
        return total(paper.total for paper in self.papers if paper.kind == Invoice.Kind.CREDIT)


def unbilled(actor: Actor) -> QuerySet[RepairOrder]:
    """Jobs that can be invoiced and are not, the longest waiting first.

    Ready for release, declined with something to pay, or released within the last half year.
    """
    job = {"complaint__order": OuterRef("pk")}
    something = (
        Exists(Replacement.objects.filter(**job, state=Replacement.State.FITTED))
        | Exists(LabourLine.objects.filter(**job, withdrawn=False))
        | Exists(OtherLine.objects.filter(**job, withdrawn=False))
    )
    waiting = Q(closed_at__isnull=True, stage__in=[Stage.READY, Stage.DECLINED])
    gone = Q(closed_at__gte=clock.now() - BILLED_WITHIN, stage=Stage.RELEASED)
    rows = orders_of(actor).filter(waiting | gone, something, invoiced=False)
    return rows.order_by("stage_since", "pk")


def unbilled_count(actor: Actor) -> int:
    """How many there are, up to MANY: the Desk asks this each time and says "many" above it."""
    return unbilled(actor).order_by()[:MANY].count()


def owed(actor: Actor) -> QuerySet[Invoice]:
    """What customers still have to pay, the oldest first."""
    rows: QuerySet[Invoice] = (
        Invoice.objects.of(actor)
        .filter(owed__gt=0)
        .select_related("order__customer")
        .order_by("issued_at", "pk")
    )
    return rows


def owed_altogether(actor: Actor) -> Decimal:
    """A sum from the database comes back to the cent: SQLite adds binary fractions."""
    found = Invoice.objects.of(actor).filter(owed__gt=0).aggregate(sum=Sum("owed"))["sum"]
    return cents(Decimal(found or 0))


def to_pay_back(actor: Actor) -> QuerySet[Invoice]:
    """Invoices on which more was paid than is left of them after credits."""
    # Only a credit brings this about, and credit notes are few and found by their kind.
    notes = Invoice.objects.of(actor).filter(kind=Invoice.Kind.CREDIT).values("corrects")
    rows: QuerySet[Invoice] = (
        Invoice.objects.of(actor)
        .filter(pk__in=notes, owed__lt=0)
        .select_related("order__customer")
        .order_by("issued_at", "pk")
    )
    return rows


def day_of(actor: Actor, day: date) -> Day:
    """Two queries."""
    begins = timezone.make_aware(datetime.combine(day, time.min))
    ends = timezone.make_aware(datetime.combine(day + timedelta(days=1), time.min))
    payments = tuple(
        Payment.objects.of(actor)
        .filter(at__gte=begins, at__lt=ends)
        .select_related("invoice__order", "by")
        .order_by("at", "pk")
    )
    papers = (
        Invoice.objects.of(actor)
        .filter(issued_at__gte=begins, issued_at__lt=ends)
        .select_related("order", "corrects")
        .order_by("issued_at", "pk")
    )
    return Day(day, payments, kinds_of(payments), tuple(papers))


def kinds_of(payments: Sequence[Payment]) -> tuple[Kind, ...]:
    """Each kind, also those that brought nothing."""
    kinds = []
    for how in Payment.How:
        own = [payment.amount for payment in payments if payment.how == how]
        came = total(amount for amount in own if amount > 0)
        back = total(amount for amount in own if amount < 0)
        kinds.append(Kind(str(how.label), came, back, len(own)))
    return tuple(kinds)
