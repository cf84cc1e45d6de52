"""What of the labour on a complaint is sold: live lines, less what shared steps took off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.models import Complaint, LabourLine, RepairOrder


@dataclass(frozen=True, slots=True)
class SoldHours:
    """Tenths of an hour. `allowed` is the catalogue's, None when no line has one."""

    lines: int = 0
    sold: int = 0
    shared: int = 0
    allowed: int | None = None


def sold_on(order: RepairOrder) -> dict[int, SoldHours]:
    """By complaint; one query."""
    by_complaint: dict[int, list[LabourLine]] = defaultdict(list)
    rows = LabourLine.objects.filter(complaint__order=order, withdrawn=False)
    for line in rows.select_related("complaint"):
        if is_sold(line):
            by_complaint[line.complaint_id].append(line)
    return {key: _sum(lines) for key, lines in by_complaint.items()}


def is_sold(line: LabourLine) -> bool:
    """Repairs of a declined complaint are not; its diagnosis was done all the same."""
    declined = line.complaint.decision == Complaint.Decision.DECLINED
    return not line.withdrawn and (not declined or line.kind == LabourLine.Kind.DIAGNOSIS)


def _sum(lines: Iterable[LabourLine]) -> SoldHours:
    rows = tuple(lines)
    allowed = [line.allowed_tenths for line in rows if line.allowed_tenths is not None]
    return SoldHours(
        len(rows),
        sum(line.sold_tenths for line in rows),
        sum(line.shared_tenths for line in rows),
        sum(allowed) if allowed else None,
    )
