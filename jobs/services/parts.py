"""What the Counter does: order, book in, hand over; late, wrong and cancelled."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from django.db import transaction

from jobs.models import RepairOrder, Replacement
from jobs.queries.estimate import assembly_text
from jobs.queries.facts import facts_for
from jobs.services import moves
from jobs.stages import CLOSED, Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

State = Replacement.State
OWN_SHELF = "our own shelf"


@transaction.atomic
def order(
    actor: Actor,
    *,
    act: UUID,
    replacements: Sequence[int],
    reference: str,
    expected_on: date,
    supplier: str = "",
) -> list[Replacement]:
    """Order several assemblies of one supplier under one reference.

    `supplier` is needed only for lines that name none. Raises Refusal for lines of two
    suppliers, for a day in the past, and Clash when one was ordered meanwhile.
    """
    acts.claim(actor, act, "order parts")
    must(actor, Permit.ORDER_PARTS)
    rows = _take(actor, replacements, {State.TO_ORDER})
    if not reference.strip():
        raise Refusal("Type the supplier’s order reference.", field="reference")
    _check_day(expected_on)
    names = {row.supplier or supplier.strip() for row in rows}
    if "" in names:
        raise Refusal("Type the supplier; one of these assemblies names none.", field="supplier")
    if len(names) > 1:
        several = ", ".join(sorted(names))
        raise Refusal(f"One order goes to one supplier. These are for {several}.")
    now = clock.now()
    for row in rows:
        row.supplier = names.copy().pop()
        row.order_reference = reference.strip()
        row.ordered_at, row.expected_on = now, expected_on
        _set(row, State.ORDERED)
        _log(actor, row, f"ordered {assembly_text(row)} from {row.supplier}, {row.order_reference}")
    return rows


@transaction.atomic
def receive(
    actor: Actor, *, act: UUID, replacements: Sequence[int], hand_over: bool = False
) -> list[Replacement]:
    """Book assemblies in; one not yet ordered comes from our own shelf.

    With `hand_over`, each job whose last assembly this was goes on to the Bay in the same act.
    """
    acts.claim(actor, act, "receive parts")
    must(actor, Permit.RECEIVE_PARTS)
    rows = _take(actor, replacements, {State.TO_ORDER, State.ORDERED})
    now = clock.now()
    for row in rows:
        from_shelf = row.state == State.TO_ORDER
        if from_shelf:
            row.order_reference = OWN_SHELF
        row.received_at = now
        _set(row, State.RECEIVED)
        where = " from our own shelf" if from_shelf else ""
        _log(actor, row, f"booked in {assembly_text(row)}{where}")
    if hand_over:
        _hand_over_complete(actor, rows)
    return rows


@transaction.atomic
def hand_over(actor: Actor, *, act: UUID, order: RepairOrder, revision: int) -> None:
    """Everything of the job is here: give it to the Bay."""
    moves.move(actor, order, Move.ASSEMBLY_HERE, act=act, revision=revision)


@transaction.atomic
def late(
    actor: Actor, *, act: UUID, replacement: Replacement, expected_on: date, because: str
) -> None:
    """An ordered assembly comes on another day; the reason stays in the job's story."""
    acts.claim(actor, act, "part late", about=replacement)
    must(actor, Permit.ORDER_PARTS)
    (row,) = _take(actor, [replacement.pk], {State.ORDERED})
    _check_day(expected_on)
    row.expected_on = expected_on
    _set(row, State.ORDERED)
    _log(
        actor, row, f"now expects {assembly_text(row)} on {expected_on:%d.%m.%Y}", _reason(because)
    )


@transaction.atomic
def wrong(
    actor: Actor, *, act: UUID, replacement: Replacement, expected_on: date, because: str
) -> None:
    """What came cannot be fitted: it goes back, and the right one is awaited on a new day.

    A job that the Bay had begun to repair waits for its assembly again.
    """
    acts.claim(actor, act, "part wrong", about=replacement)
    must(actor, Permit.RECEIVE_PARTS)
    (row,) = _take(actor, [replacement.pk], {State.ORDERED, State.RECEIVED})
    _check_day(expected_on)
    why = _reason(because)
    row.received_at, row.expected_on = None, expected_on
    row.ordered_at = row.ordered_at or clock.now()
    _set(row, State.ORDERED)
    _log(actor, row, f"sent {assembly_text(row)} back and awaits the right one", why)
    job = row.complaint.order
    if job.stage == Stage.REPAIRING:
        moves.follow(actor, job, Move.WRONG_ASSEMBLY, reason=why)


@transaction.atomic
def cancel(actor: Actor, *, act: UUID, replacement: Replacement, because: str) -> None:
    """Take an assembly off the job for good. Raises Refusal when it is fitted already."""
    acts.claim(actor, act, "cancel part", about=replacement)
    must(actor, Permit.ORDER_PARTS)
    states = {State.PROPOSED, State.TO_ORDER, State.ORDERED, State.RECEIVED}
    (row,) = _take(actor, [replacement.pk], states)
    row.cancelled_because = _reason(because)[:200]
    before = row.get_state_display()
    _set(row, State.CANCELLED)
    _log(actor, row, f"cancelled {assembly_text(row)}, which was {before}", row.cancelled_because)


def _take(actor: Actor, keys: Sequence[int], states: set[State]) -> list[Replacement]:
    """The rows, locked, all of this workshop and in one of the states."""
    wanted = set(keys)
    if not wanted:
        raise Refusal("Choose at least one assembly.")
    rows = list(
        Replacement.objects.of(actor)
        .select_for_update(of=("self",))
        .filter(pk__in=wanted)
        .select_related("component", "complaint__order")
        .order_by("pk")
    )
    if len(rows) != len(wanted):
        raise Refusal("One of these assemblies is not in this workshop’s list any more.")
    for row in rows:
        if row.state not in states:
            raise Clash(
                f"{assembly_text(row)} is {row.get_state_display()} by now. "
                "The page shows how it stands."
            )
        if Stage(row.complaint.order.stage) in CLOSED:
            raise Refusal(f"Job {row.complaint.order} is closed.")
    return rows


def _hand_over_complete(actor: Actor, rows: Sequence[Replacement]) -> None:
    jobs = {row.complaint.order_id: row.complaint.order for row in rows}
    facts = facts_for(jobs.values())
    for key, job in jobs.items():
        if job.stage == Stage.AWAITING_ASSEMBLY and facts[key].not_received == 0:
            moves.follow(actor, job, Move.ASSEMBLY_HERE)


def _set(row: Replacement, state: State) -> None:
    row.state, row.state_since = state, clock.now()
    row.save()


def _check_day(expected_on: date) -> None:
    if expected_on < clock.today():
        raise Refusal("That day is over. Type the day it is expected.", field="expected_on")


def _reason(because: str) -> str:
    if not because.strip():
        raise Refusal("Say why in a few words; it is kept with the job.", field="because")
    return because.strip()


def _log(actor: Actor, row: Replacement, words: str, reason: str = "") -> None:
    log.write(
        actor,
        kind="parts",
        subject_kind="order",
        subject_id=row.complaint.order_id,
        words=words,
        reason=reason,
    )
