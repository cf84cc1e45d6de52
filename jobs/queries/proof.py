"""The dated facts that prove repairs, gathered for many orders in a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Max, QuerySet
from django.utils.timezone import localtime

from diagnostics import words
from diagnostics.models import (
    FlagClearing,
    FlagRead,
    LampCheck,
    Phase,
    ProvingRule,
    Reading,
    StoredFlag,
)
from diagnostics.queries.at_step import step_of, with_step
from jobs.models import Complaint, RepairOrder, Replacement, RoadTest, StageMove
from jobs.proving_rule import DriveNeeds
from jobs.release_rules import (
    ClearingFact,
    FlagReadFact,
    LampFact,
    Proof,
    ReadingFact,
    RoadTestFact,
)
from jobs.stages import Move, Stage

_UNTESTED = StoredFlag.Status.NOT_TESTED
_NOT_HELD = (_UNTESTED, StoredFlag.Status.QUIET)


def proof_of(order: RepairOrder) -> Proof:
    return proofs_for([order])[order.pk]


def proofs_for(orders: Iterable[RepairOrder]) -> dict[int, Proof]:
    """The proof of each order by its pk; times are the workshop's own, ready to be said."""
    orders = list(orders)
    if not orders:
        return {}
    ids = [order.pk for order in orders]
    sessions = [order.session_id for order in orders]
    repaired = _last_fitting(ids)
    moves = _last_moves(ids)
    clearings = _grouped(
        FlagClearing.objects.filter(session__in=sessions).order_by("pk"), "session_id"
    )
    reads = _grouped(
        FlagRead.objects.filter(session__in=sessions).prefetch_related("flags").order_by("pk"),
        "session_id",
    )
    tests = _grouped(RoadTest.objects.filter(order__in=ids).order_by("pk"), "order_id")
    lamps = _grouped(LampCheck.objects.filter(session__in=sessions).order_by("pk"), "session_id")
    readings = _grouped(_standing(sessions), "session_id")
    complaints = _grouped(Complaint.objects.filter(order__in=ids).order_by("line"), "order_id")
    return {
        order.pk: Proof(
            # Work without an assembly ends when the job goes on to proving.
            repaired_at=repaired.get(order.pk, moves.get((order.pk, Stage.PROVING))),
            begun_at=moves.get((order.pk, Stage.DIAGNOSING)),
            clearings=tuple(
                ClearingFact(localtime(row.at), row.module) for row in clearings[order.session_id]
            ),
            flag_reads=tuple(_flag_read(row) for row in reads[order.session_id]),
            road_tests=tuple(
                RoadTestFact(localtime(row.at), row.long_enough, row.reason)
                for row in tests[order.pk]
            ),
            lamp_checks=tuple(
                LampFact(localtime(row.at), row.normal, row.says) for row in lamps[order.session_id]
            ),
            readings=tuple(_reading(row) for row in readings[order.session_id]),
            without_conclusion=tuple(
                row.line for row in complaints[order.pk] if row.conclusion_id is None
            ),
            without_correction=tuple(
                row.line for row in complaints[order.pk] if _wants_correction(row)
            ),
        )
        for order in orders
    }


def drive_needs(order: RepairOrder) -> DriveNeeds:
    """What the catalogue of this job asks of a road test, or else common practice."""
    rule = ProvingRule.objects.filter(version=order.session.version_id).first()
    if rule is None:
        return DriveNeeds()
    return DriveNeeds(rule.self_test_speed_mps, rule.min_distance_m, rule.source)


def _wants_correction(complaint: Complaint) -> bool:
    declined = complaint.decision == Complaint.Decision.DECLINED
    return not declined and not complaint.correction.strip()


def _last_fitting(ids: list[int]) -> dict[int, datetime]:
    rows = (
        Replacement.objects.filter(complaint__order__in=ids, state=Replacement.State.FITTED)
        .order_by()
        .values_list("complaint__order")
        .annotate(Max("fitted_at"))
    )
    return {order: localtime(at) for order, at in rows if at}


def _last_moves(ids: list[int]) -> dict[tuple[int, str], datetime]:
    """When each order last entered each stage that a proof is counted from."""
    counted = [Stage.DIAGNOSING, Stage.PROVING]
    rows = (
        StageMove.objects.filter(order__in=ids, target__in=counted)
        .exclude(move=Move.NOTHING_TO_REPAIR)
        .order_by()
        .values_list("order", "target")
        .annotate(Max("at"))
    )
    return {(order, target): localtime(at) for order, target, at in rows}


def _standing(sessions: list[int]) -> QuerySet[Reading]:
    standing = Reading.objects.standing().filter(session__in=sessions)
    return with_step(standing.select_related("quantity", "component"))


def _flag_read(read: FlagRead) -> FlagReadFact:
    flags = list(read.flags.all())
    return FlagReadFact(
        at=localtime(read.at),
        module=read.module,
        codes=tuple(_full(flag) for flag in flags if flag.status not in _NOT_HELD),
        untested=tuple(_full(flag) for flag in flags if flag.status == _UNTESTED),
    )


def _full(flag: StoredFlag) -> str:
    return f"{flag.code}-{flag.failure_type}" if flag.failure_type else flag.code


def _reading(reading: Reading) -> ReadingFact:
    unit, step = str(reading.component_id or ""), step_of(reading)
    return ReadingFact(
        at=localtime(reading.at),
        place=(reading.quantity.key, unit, reading.position),
        name=reading_name(reading),
        shown=words.value(reading) + (f", “{step}”" if step else ""),
        verdict=reading.verdict,
        after_repair=reading.phase == Phase.AFTER_REPAIR,
    )


def reading_name(reading: Reading) -> str:
    """ "Coil resistance, left rear", or the component where it has no position."""
    place = words.place(reading.position) or (reading.component.name if reading.component else "")
    return f"{reading.quantity.name}, {place}" if place else reading.quantity.name


def _grouped(rows: Iterable[Any], key: str) -> dict[int, list[Any]]:
    grouped: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[getattr(row, key)].append(row)
    return grouped
