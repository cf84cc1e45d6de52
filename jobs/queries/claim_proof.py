"""What was recorded on the vehicle and speaks for one complaint, as the claim document says it."""

from __future__ import annotations

from datetime import datetime

from django.utils import timezone

from diagnostics import words
from diagnostics.models import Conclusion, Evidence, FlagRead, Reading
from diagnostics.queries.evidence import evidence_of
from jobs.claims import document as parts
from jobs.models import Complaint, RepairOrder


def local(at: datetime | None) -> datetime | None:
    """By the workshop's clock, with its offset."""
    return timezone.localtime(at) if at else None


def when(at: datetime) -> datetime:
    return timezone.localtime(at)


def fault_of(conclusion: Conclusion | None) -> parts.Fault:
    if conclusion is None:
        return parts.Fault("", "", "", False, ())
    shown = evidence_of([conclusion]).get(conclusion.pk, ())
    return parts.Fault(
        str(conclusion.component or ""),
        words.place(conclusion.position),
        str(conclusion.failure_mode or ""),
        conclusion.no_fault_found,
        tuple(one.words for one in shown),
    )


def flags_of(order: RepairOrder) -> tuple[parts.FlagsRead, ...]:
    """Every reading-out of the visit, in the order it was made: the modules stand for the car."""
    reads = FlagRead.objects.filter(session=order.session_id).select_related("by")
    rows = reads.prefetch_related("flags__definition").order_by("at", "pk")
    return tuple(
        parts.FlagsRead(
            read.phase,
            read.module,
            tuple(
                parts.FlagHeld(
                    flag.code,
                    flag.failure_type,
                    str(flag.get_status_display()),
                    flag.lamp_requested,
                    flag.definition.text if flag.definition else "",
                )
                for flag in read.flags.all()
            ),
            str(read.by),
            when(read.at),
        )
        for read in rows
    )


def values_of(complaint: Complaint) -> tuple[parts.Value, ...]:
    """What carries the conclusion, and what was measured at the same place or component.

    Readings of other complaints of the visit stay out.
    """
    conclusion = complaint.conclusion
    if conclusion is None:
        return ()
    chosen = set(
        Evidence.objects.filter(conclusion=conclusion, reading__isnull=False).values_list(
            "reading", flat=True
        )
    )
    rows = list(
        Reading.objects.standing()
        .filter(session=complaint.order.session_id)
        .select_related("quantity", "component", "by")
        .order_by("at", "pk")
    )
    places = {(row.quantity_id, row.position) for row in rows if row.pk in chosen}
    return tuple(
        _value(row, condemns=row.pk in chosen)
        for row in rows
        if row.pk in chosen
        or (row.quantity_id, row.position) in places
        or _at_fault(row, conclusion)
    )


def _at_fault(row: Reading, conclusion: Conclusion) -> bool:
    same = row.component_id is not None and row.component_id == conclusion.component_id
    return same and row.position in ("", conclusion.position)


def _value(row: Reading, *, condemns: bool) -> parts.Value:
    return parts.Value(
        quantity=str(row.quantity),
        component=str(row.component or ""),
        position=words.place(row.position),
        phase=row.phase,
        condemns=condemns,
        value=row.value,
        typed=row.typed_value,
        unit=row.typed_unit,
        uncertainty=row.uncertainty,
        conditions=words.conditions(row),
        limit_low=row.limit_low,
        limit_high=row.limit_high,
        limit=words.allowed(row),
        limit_conditions=row.limit_conditions,
        limit_source=row.limit_source,
        verdict=row.verdict,
        by=str(row.by),
        at=when(row.at),
    )


def road_tests_of(order: RepairOrder) -> tuple[parts.Drive, ...]:
    return tuple(
        parts.Drive(
            test.distance_m,
            test.distance_typed,
            test.top_speed_mps,
            test.top_speed_typed,
            test.long_enough,
            f"{test.reason} {test.note}".strip(),
            str(test.by),
            when(test.at),
        )
        for test in order.road_tests.select_related("by")
    )
