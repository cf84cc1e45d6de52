"""Returns that may be comebacks: the rule proposes them, a person decides and says why."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from jobs.models import CauseClass, Comeback, Complaint, Repair
from jobs.queries import returns
from jobs.services import repairs
from jobs.services.kept_later import put_off
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Vehicle, Workshop
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

CHUNK = 400  # vehicles at a time
LONGEST = 500
Because = Comeback.Because


@transaction.atomic
def propose(vehicle: Vehicle) -> None:
    """Put down what the rule now proposes for a vehicle, and take back what it no longer does.

    What was decided, or put in by hand, stays as it is.
    """
    if not put_off() and _bring_in_step(vehicle.workshop, [vehicle.pk]):
        repairs.refresh(vehicle)


@transaction.atomic
def rebuild(workshop: Workshop, *, say: Callable[[str], None] = lambda _line: None) -> int:
    """The same for all vehicles of a workshop; how many rows were not as they should be."""
    keys = list(
        Vehicle.objects.filter(workshop=workshop).order_by("pk").values_list("pk", flat=True)
    )
    wrong = sum(
        _bring_in_step(workshop, keys[at : at + CHUNK]) for at in range(0, len(keys), CHUNK)
    )
    if wrong:
        repairs.rebuild(workshop)
    say(f"{workshop}: returns that may be comebacks")
    return wrong


def _bring_in_step(workshop: Workshop, vehicles: list[int]) -> int:
    rows = Vehicle.objects.filter(pk__in=vehicles)
    due, kept = returns.by_the_rule(rows, workshop), returns.kept(rows)
    changed = 0
    for row in kept:
        said = due.pop(row.pk, None)
        if row.cause or row.because == Because.BY_HAND:
            continue
        if said is None:
            row.delete()
            changed += 1
        elif (said.repair, said.because, said.days, said.metres) != _of(row):
            row.repair_id, row.because = said.repair, said.because
            row.days, row.metres = said.days, said.metres
            row.save(update_fields=["repair", "because", "days", "metres"])
            changed += 1
    # Another act on the same vehicle may propose the same in this moment.
    new = [
        Comeback(
            complaint_id=said.complaint,
            workshop_id=said.workshop,
            repair_id=said.repair,
            because=said.because,
            days=said.days,
            metres=said.metres,
            proposed_at=clock.now(),
        )
        for said in due.values()
    ]
    Comeback.objects.bulk_create(new, ignore_conflicts=True)
    return changed + len(due)


def _of(row: Comeback) -> tuple[int, str, int, int | None]:
    return row.repair_id, row.because, row.days, row.metres


@transaction.atomic
def decide(
    actor: Actor, *, act: UUID, comeback: Comeback, revision: int, cause: str, reason: str
) -> Comeback:
    """Say what kind of return it is, and on what that rests.

    May be decided again; the story of the job keeps what was said before. Raises Refusal for no
    class or no reason, Clash when somebody decided meanwhile.
    """
    acts.claim(actor, act, "decide comeback", about=comeback.complaint)
    must(actor, Permit.DECIDE_COMEBACK)
    row = _locked(actor, comeback)
    if row.revision != revision:
        raise Clash("Somebody decided this meanwhile. The page shows what; decide again if needed.")
    if cause not in CauseClass.values:
        raise Refusal("Choose what kind of return it is.", field="cause")
    why = _reason(reason)
    before = row.get_cause_display() if row.cause else ""
    row.cause, row.reason = cause, why
    row.decided_at, row.decided_by = clock.now(), actor.user
    row.revision += 1
    row.save(update_fields=["cause", "reason", "decided_at", "decided_by", "revision"])
    instead = f" instead of {before}" if before and before != row.get_cause_display() else ""
    _log(actor, row, f"decided on the return: {row.get_cause_display()}{instead}", why)
    repairs.refresh(row.complaint.order.vehicle)
    return row


@transaction.atomic
def put_in(
    actor: Actor, *, act: UUID, complaint: Complaint, repair: Repair, reason: str
) -> Comeback:
    """Say that a complaint is the return of an earlier repair which the rule did not propose.

    It waits for its decision like others. Raises Refusal when it stands as a return already, or
    when the repair is of another vehicle or not earlier.
    """
    acts.claim(actor, act, "put in comeback", about=complaint)
    must(actor, Permit.DECIDE_COMEBACK)
    order = complaint.order
    why = _reason(reason)
    if Stage(order.stage) is Stage.VOID:
        raise Refusal("This job is void; it is nobody’s return.")
    came = timezone.localtime(order.taken_in_at).date().toordinal()
    if repair.vehicle_id != order.vehicle_id or repair.complaint.order_id == order.pk:
        raise Refusal("Choose an earlier repair of this vehicle.", field="repair")
    if repair.handed_day > came:
        raise Refusal("That repair was handed over later than this came in.", field="repair")
    Complaint.objects.select_for_update().get(pk=complaint.pk)
    if Comeback.objects.filter(pk=complaint.pk).exists():
        raise Refusal("This complaint stands as a return already. Decide on it there.")
    at_m = order.odometer_in.distance_m
    known = repair.handed_m is not None and at_m >= repair.handed_m
    row: Comeback = Comeback.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        repair=repair,
        because=Because.BY_HAND,
        days=came - repair.handed_day,
        metres=at_m - repair.handed_m if known and repair.handed_m is not None else None,
        proposed_at=clock.now(),
    )
    _log(actor, row, f"put complaint {complaint.line} in as the return of {_number(repair)}", why)
    repairs.refresh(order.vehicle)
    return row


@transaction.atomic
def withdraw(actor: Actor, *, act: UUID, comeback: Comeback, revision: int, reason: str) -> None:
    """Take back what was put in by hand and not decided; the rule's own are decided instead."""
    acts.claim(actor, act, "withdraw comeback", about=comeback.complaint)
    must(actor, Permit.DECIDE_COMEBACK)
    row = _locked(actor, comeback)
    if row.revision != revision:
        raise Clash("Somebody decided this meanwhile. Nothing was taken back.")
    if row.because != Because.BY_HAND or row.cause:
        raise Refusal("Only what was put in by hand and not decided is taken back. Decide on it.")
    why, vehicle, complaint = _reason(reason), row.complaint.order.vehicle, row.complaint
    _log(actor, row, f"took complaint {complaint.line} back as a return", why)
    row.delete()
    propose(vehicle)
    repairs.refresh(vehicle)


def _locked(actor: Actor, comeback: Comeback) -> Comeback:
    found: Comeback | None = (
        Comeback.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related("complaint__order__vehicle__workshop", "repair__complaint__order")
        .filter(pk=comeback.pk)
        .first()
    )
    if found is None:
        raise Clash("This return was taken back meanwhile: its ground is gone.")
    return found


def _reason(typed: str) -> str:
    why = typed.strip()
    if not why:
        raise Refusal("Say what it rests on; it stands beside the decision.", field="reason")
    if len(why) > LONGEST:
        raise Refusal(f"At most {LONGEST} characters.", field="reason")
    return why


def _number(repair: Repair) -> str:
    return str(repair.complaint.order.number)


def _log(actor: Actor, row: Comeback, words: str, reason: str) -> None:
    log.write(
        actor,
        kind="comeback",
        subject_kind="order",
        subject_id=row.complaint.order_id,
        words=words,
        reason=reason,
    )
