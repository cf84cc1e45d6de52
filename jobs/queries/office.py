"""The owner's months, counted from the jobs. Counts, not rates: each leads to its jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import (
    Avg,
    Count,
    ExpressionWrapper,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
)
from django.db.models.fields import DurationField
from django.db.models.functions import TruncMonth
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Component
from jobs.models import RepairOrder, Replacement, StageMove
from jobs.stages import Move, Stage
from shop.actor import Actor

MONTHS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class FigureRule:
    """One line of the Office: which orders it counts, and the moment that dates them."""

    key: str
    label: Promise
    meaning: Promise
    dated_by: str
    narrow: Callable[[QuerySet[RepairOrder]], QuerySet[RepairOrder]]


# The month of the refusal itself, not of any other move of that job.
_LAST_NO = (
    StageMove.objects.filter(order=OuterRef("pk"), move=Move.DECLINE)
    .order_by("-at")
    .values("at")[:1]
)

FIGURES: tuple[FigureRule, ...] = (
    FigureRule(
        "taken-in",
        _("Taken in"),
        _("Vehicles received, whatever became of them."),
        "taken_in_at",
        lambda orders: orders.exclude(stage=Stage.VOID),
    ),
    FigureRule(
        "released",
        _("Released"),
        _("Vehicles that left, repaired or not."),
        "closed_at",
        lambda orders: orders.filter(stage=Stage.RELEASED),
    ),
    FigureRule(
        "unproved",
        _("Released without full proof"),
        _("The service manager released them with a reason; what was missing is on the order."),
        "closed_at",
        lambda orders: orders.filter(stage=Stage.RELEASED).exclude(override_reason=""),
    ),
    FigureRule(
        "no-evidence",
        _("Concluded without evidence"),
        _("At least one conclusion rests on nothing that was recorded."),
        "closed_at",
        lambda orders: orders.filter(stage=Stage.RELEASED, complaints__conclusion__evidenced=False),
    ),
    FigureRule(
        "no-fault",
        _("No fault found"),
        _("At least one complaint ended so."),
        "closed_at",
        lambda orders: orders.filter(
            stage=Stage.RELEASED, complaints__conclusion__no_fault_found=True
        ),
    ),
    FigureRule(
        "not-to-be-driven",
        _("Marked not to be driven"),
        _("By the lamps or by hand, whether lifted since or not."),
        "unsafe_marks__raised_at",
        lambda orders: orders.filter(unsafe_marks__isnull=False),
    ),
    FigureRule(
        "declined",
        _("Declined"),
        _("The estimate was refused."),
        "declined_at",
        lambda orders: orders.annotate(declined_at=Subquery(_LAST_NO)).filter(
            declined_at__isnull=False
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class FigureRow:
    key: str
    label: Promise
    meaning: Promise
    counts: tuple[tuple[date, int], ...]


@dataclass(frozen=True, slots=True)
class ReplacedRow:
    """A component, how many were fitted, and how many of them for one that had failed."""

    name: str
    platform: str
    component: int
    fitted: int
    failed: int


@dataclass(frozen=True, slots=True)
class Months:
    """`months`: their first days, newest first. `days_in_shop`: None where nobody left."""

    months: tuple[date, ...]
    rows: tuple[FigureRow, ...]
    days_in_shop: tuple[tuple[date, float | None], ...]


def months_up_to(actor: Actor, month: date, until: date) -> Months:
    """Six months, `month` first, counted up to `until`. One query a line, whatever there is."""
    months = _months(month)
    return Months(
        months=months,
        rows=tuple(_row(actor, rule, months, until) for rule in FIGURES),
        days_in_shop=_days_in_shop(actor, months, until),
    )


def jobs_behind(actor: Actor, key: str, month: date) -> QuerySet[RepairOrder] | None:
    """The orders that a figure counted in that month, or None when there is no such figure."""
    rule = {rule.key: rule for rule in FIGURES}.get(key)
    if rule is None:
        return None
    start, end = _start(month), _start(_next(month))
    inside = Q(**{f"{rule.dated_by}__gte": start, f"{rule.dated_by}__lt": end})
    found = rule.narrow(RepairOrder.objects.of(actor)).filter(inside).values("pk")
    orders: QuerySet[RepairOrder] = RepairOrder.objects.of(actor).filter(pk__in=found)
    return orders.select_related("vehicle", "vehicle__platform", "customer").order_by("-serial")


def replaced(actor: Actor, since: date, until: date) -> tuple[ReplacedRow, ...]:
    """Assemblies fitted from `since` to `until`, by component, in the order of their names."""
    rows = (
        _fitted(actor, since, until)
        .values(
            *("component__name", "component__platform__model", "component__platform__code"),
            "component_id",
        )
        .annotate(fitted=Count("pk"), failed=Count("pk", filter=Q(unit_off__exit="failed")))
        .order_by("component__name", "component__platform__model", "component_id")
    )
    return tuple(
        ReplacedRow(
            row["component__name"],
            f"{row['component__platform__model']}, {row['component__platform__code']}",
            row["component_id"],
            row["fitted"],
            row["failed"],
        )
        for row in rows
    )


def orders_with(actor: Actor, component_id: int, since: date, until: date) -> QuerySet[RepairOrder]:
    """The orders on which that component was fitted from `since` to `until`."""
    lines = _fitted(actor, since, until).filter(component=component_id)
    orders: QuerySet[RepairOrder] = RepairOrder.objects.of(actor).filter(
        pk__in=lines.values("complaint__order")
    )
    return orders.select_related("vehicle", "vehicle__platform", "customer").order_by("-serial")


def component_name(component_id: int) -> str | None:
    return Component.objects.filter(pk=component_id).values_list("name", flat=True).first()


def first_of(month: date) -> date:
    """The first day of the six months that end with this one."""
    return _months(month)[-1]


def _fitted(actor: Actor, since: date, until: date) -> QuerySet[Replacement]:
    rows: QuerySet[Replacement] = Replacement.objects.of(actor).filter(
        state=Replacement.State.FITTED,
        fitted_at__gte=_start(since),
        fitted_at__lt=_start(until + timedelta(days=1)),
    )
    return rows


def _row(actor: Actor, rule: FigureRule, months: tuple[date, ...], until: date) -> FigureRow:
    narrowed = rule.narrow(RepairOrder.objects.of(actor))
    counted = dict(
        narrowed.filter(
            **{
                f"{rule.dated_by}__gte": _start(months[-1]),
                f"{rule.dated_by}__lt": _start(until + timedelta(days=1)),
            }
        )
        .annotate(month=TruncMonth(rule.dated_by))
        .values("month")
        .annotate(count=Count("pk", distinct=True))
        .values_list("month", "count")
    )
    by_month = {timezone.localtime(month).date(): count for month, count in counted.items()}
    counts = tuple((month, by_month.get(month, 0)) for month in months)
    return FigureRow(rule.key, rule.label, rule.meaning, counts)


def _days_in_shop(
    actor: Actor, months: tuple[date, ...], until: date
) -> tuple[tuple[date, float | None], ...]:
    stay = ExpressionWrapper(F("closed_at") - F("taken_in_at"), output_field=DurationField())
    rows = (
        RepairOrder.objects.of(actor)
        .filter(
            stage=Stage.RELEASED,
            closed_at__gte=_start(months[-1]),
            closed_at__lt=_start(until + timedelta(days=1)),
        )
        .annotate(month=TruncMonth("closed_at"))
        .values("month")
        .annotate(stay=Avg(stay))
        .values_list("month", "stay")
    )
    by_month = {timezone.localtime(month).date(): stay / timedelta(days=1) for month, stay in rows}
    return tuple((month, by_month.get(month)) for month in months)


def _months(last: date) -> tuple[date, ...]:
    """Six first days of months, this one first."""
    months = [last.replace(day=1)]
    while len(months) < MONTHS_SHOWN:
        months.append((months[-1] - timedelta(days=1)).replace(day=1))
    return tuple(months)


def _next(month: date) -> date:
    return (month + timedelta(days=32)).replace(day=1)


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
