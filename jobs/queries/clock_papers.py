"""The time on the clock for the payers who ask for it: on and off, person by person."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta

from jobs.clocked import NOTHING
from jobs.models import ClockEntry, Complaint, Payer, RepairOrder
from jobs.queries.clock import counted
from jobs.queries.sold_hours import SoldHours, sold_on


@dataclass(frozen=True, slots=True)
class ClockedLine:
    entry: ClockEntry
    length: timedelta


@dataclass(frozen=True, slots=True)
class ClockedPaper:
    """One complaint that somebody other than the customer pays for; times as they count."""

    complaint: Complaint
    lines: tuple[ClockedLine, ...]
    worked: timedelta
    sold: SoldHours


def clocked_papers(order: RepairOrder) -> tuple[ClockedPaper, ...]:
    """Those complaints on which something was clocked and ended. Two queries."""
    rows = (
        ClockEntry.objects.filter(complaint__order=order, ended_at__isnull=False)
        .exclude(complaint__payer=Payer.CUSTOMER)
        .select_related("complaint", "user")
        .order_by("complaint__line", "counted_from", "pk")
    )
    entries: dict[int, list[ClockEntry]] = defaultdict(list)
    for row in rows:
        entries[row.complaint_id].append(row)
    sold = sold_on(order)
    return tuple(
        ClockedPaper(
            own[0].complaint,
            tuple(ClockedLine(row, counted(row)) for row in own),
            sum((counted(row) for row in own), NOTHING),
            sold.get(key, SoldHours()),
        )
        for key, own in entries.items()
    )
