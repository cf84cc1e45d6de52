"""The failed units behind a figure of failures. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import F, Q, QuerySet

from jobs.models import FittedUnit
from jobs.reports.queries.kinds import Kind
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class Narrowed:
    """To which of them; None where all are meant. `first`: those that had failed when first seen,
    which no rate counts. `since`: those that were known to have failed on that day or later."""

    until: date
    since: date | None = None
    first: bool = False
    platform: str | None = None
    position: str | None = None
    supplier: str | None = None
    batch: str | None = None
    mode: str | None = None


def failed_units(actor: Actor, kind: Kind, to: Narrowed) -> QuerySet[FittedUnit]:
    """Each with its vehicle, its mode and the order on which it came off; the latest first."""
    day = to.until.toordinal()
    at_first = ~Q(entry=FittedUnit.Entry.FITTED) & Q(out_day__lte=F("in_day"))
    wanted: dict[str, Any] = {
        "component__platform__code": to.platform,
        "position": to.position,
        "supplier": to.supplier,
        "batch": to.batch,
        "failure_mode__key": to.mode,
    }
    rows: QuerySet[FittedUnit] = FittedUnit.objects.of(actor).filter(
        component__in=kind.components,
        exit=FittedUnit.Exit.FAILED,
        in_day__lte=day,
        out_day__lte=day,
        **{name: one for name, one in wanted.items() if one is not None},
    )
    # Found by then, but written down later: not known on that day.
    rows = rows.exclude(known_day__gt=day)
    if to.since:
        rows = rows.filter(known_day__gte=to.since.toordinal())
    rows = rows.filter(at_first) if to.first else rows.exclude(at_first)
    return rows.select_related(
        "vehicle", "vehicle__platform", "failure_mode", "taken_off_by__complaint__order"
    ).order_by("-out_day", "-pk")
