"""The particulars of what jobs wait for: which step, which assembly, which sum, since when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from diagnostics.compute.verdict import VerdictKind
from diagnostics.models import Phase, ProcedureRun, Reading
from jobs.models import Estimate, RepairOrder, Replacement
from jobs.queries.estimate import place_words
from jobs.stages import Stage
from shop import clock
from shop.money import format_amount

_PARTS = frozenset({Stage.AWAITING_ASSEMBLY, Stage.REPAIRING})
_WORK_IS_OVER = frozenset({Stage.READY, Stage.DECLINED})


@dataclass(frozen=True, slots=True)
class Detail:
    """`words` reads on after what is awaited; `late` marks what should have been here."""

    words: str = ""
    late: bool = False
    since: datetime | None = None


def details_for(orders: Sequence[RepairOrder]) -> dict[int, Detail]:
    """The particulars of each order by its pk, in four queries however many there are."""
    by_stage: dict[Stage, list[RepairOrder]] = defaultdict(list)
    for order in orders:
        by_stage[Stage(order.stage)].append(order)
    parts = [order for stage in _PARTS for order in by_stage[stage]]
    return {
        **{order.pk: Detail(_people(order)) for order in orders},
        **_of_diagnosis(by_stage[Stage.DIAGNOSING]),
        **_of_estimates(by_stage[Stage.AWAITING_AUTHORITY]),
        **_of_parts(parts),
    }


def _people(order: RepairOrder) -> str:
    """Who works on it and where; only where it stands once the work is over."""
    technician = None if Stage(order.stage) in _WORK_IS_OVER else order.technician
    return " · ".join(str(one) for one in (technician, order.bay) if one)


def _of_diagnosis(orders: Iterable[RepairOrder]) -> dict[int, Detail]:
    orders = list(orders)
    sessions = [order.session_id for order in orders]
    runs = {
        run.session_id: run
        for run in ProcedureRun.objects.filter(session__in=sessions, finished_at__isnull=True)
        .select_related("current", "procedure")
        .annotate(step_count=Count("procedure__steps"))
        .order_by("pk")
    }
    outside = {
        reading.session_id: reading
        for reading in Reading.objects.standing()
        .filter(
            session__in=sessions,
            phase=Phase.AS_FOUND,
            verdict=VerdictKind.OUTSIDE,
        )
        .select_related("quantity")
        .order_by("pk")
    }
    details = {}
    for order in orders:
        said = []
        run, reading = runs.get(order.session_id), outside.get(order.session_id)
        if run and run.current:
            step = {"step": run.current.number, "of": getattr(run, "step_count", 0)}
            said.append(_("step %(step)s of %(of)s") % step)
        if reading:
            said.append(_("%s outside") % _measured(reading))
        words = ", ".join(said)
        words = words[:1].upper() + words[1:]
        details[order.pk] = Detail(" · ".join(part for part in (words, _people(order)) if part))
    return details


def _of_estimates(orders: Iterable[RepairOrder]) -> dict[int, Detail]:
    by_pk = {order.pk: order for order in orders}
    details = {}
    rows = Estimate.objects.filter(order__in=by_pk).order_by("number")
    for estimate in rows:
        symbol = by_pk[estimate.order_id].workshop.currency
        said = _("%(total)s, given %(how)s to %(whom)s") % {
            "total": format_amount(estimate.total, symbol),
            "how": estimate.get_how_display(),
            "whom": estimate.given_to,
        }
        details[estimate.order_id] = Detail(said, since=estimate.given_at)
    return details


def _of_parts(orders: Iterable[RepairOrder]) -> dict[int, Detail]:
    by_pk = {order.pk: order for order in orders}
    rows = (
        Replacement.objects.filter(
            complaint__order__in=by_pk,
            state__in=[
                Replacement.State.TO_ORDER,
                Replacement.State.ORDERED,
                Replacement.State.RECEIVED,
            ],
        )
        .select_related("component", "complaint")
        .order_by("pk")
    )
    waiting: dict[int, list[Replacement]] = defaultdict(list)
    for row in rows:
        waiting[row.complaint.order_id].append(row)
    return {pk: _parts_detail(by_pk[pk], found) for pk, found in waiting.items()}


def _parts_detail(order: RepairOrder, parts: list[Replacement]) -> Detail:
    names = "; ".join(_part_name(part) for part in parts)
    expected = [part.expected_on for part in parts if part.state == Replacement.State.ORDERED]
    due = max((day for day in expected if day), default=None)
    if due is None:
        people = _people(order) if Stage(order.stage) is Stage.REPAIRING else ""
        return Detail(" · ".join(part for part in (names, people) if part))
    late = due < clock.today()
    word = _("was due %s") if late else _("due %s")
    return Detail(f"{names}, {word % _day(due)}", late=late)


def _part_name(part: Replacement) -> str:
    return ", ".join(word for word in (part.component.name, place_words(part.position)) if word)


def _measured(reading: Reading) -> str:
    name = reading.quantity.name
    return ", ".join(word for word in (name, place_words(reading.position)) if word)


def _day(day: date) -> str:
    away = (day - clock.today()).days
    if away == 0:
        return _("today")
    if away == 1:
        return _("tomorrow")
    return date_format(day, "D j M")
