"""Assemblies of jobs as the Counter's services take them: locked, checked, in one order.

Locks go from the job over the supplier's line and the assembly to the stock item, everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from jobs.models import Complaint, RepairOrder, Replacement, SupplyLine
from jobs.queries.estimate import assembly_text
from jobs.queries.facts import facts_for
from jobs.services import moves, stock
from jobs.stages import CLOSED, Move, Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.services import log

State = Replacement.State
FARTHEST = timedelta(days=730)


def take(actor: Actor, keys: Sequence[int], states: set[State]) -> list[Replacement]:
    """The rows, locked, all of this workshop and in one of the states."""
    wanted = set(keys)
    if not wanted:
        raise Refusal("Choose at least one assembly.")
    own = Replacement.objects.of(actor).filter(pk__in=wanted)
    lock_jobs(own.values_list("complaint__order", flat=True))
    lock_lines(own.values_list("supply_line", flat=True))
    rows = list(
        own.select_for_update(of=("self",))
        .select_related("component", "complaint__order__workshop", "workshop")
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


def lock_jobs(order_ids: Iterable[int]) -> None:
    rows = RepairOrder.objects.select_for_update().filter(pk__in=list(order_ids))
    list(rows.order_by("pk").values_list("pk"))


def lock_lines(line_ids: Iterable[int | None]) -> dict[int, SupplyLine]:
    """The supplier's lines by their key, locked in the order of their keys."""
    wanted = {pk for pk in line_ids if pk is not None}
    rows = SupplyLine.objects.select_for_update(of=("self",)).filter(pk__in=wanted)
    return {row.pk: row for row in rows.select_related("order__supplier").order_by("pk")}


def waiting_on(lines: Iterable[SupplyLine]) -> dict[int, list[Replacement]]:
    """The assemblies that wait for each line, locked, the earliest promise first.

    A job that is promised no day comes after those that are; what was declined comes last.
    """
    rows = (
        Replacement.objects.select_for_update(of=("self",))
        .filter(supply_line__in=[line.pk for line in lines], state=State.ORDERED)
        .filter(complaint__order__closed_at__isnull=True)
        .select_related("component", "complaint__order__workshop", "workshop")
        .order_by("pk")
    )
    found: dict[int, list[Replacement]] = {line.pk: [] for line in lines}
    for row in sorted(rows, key=by_promise):
        if row.supply_line_id is not None:
            found[row.supply_line_id].append(row)
    return found


def by_promise(row: Replacement) -> tuple[bool, bool, float, int]:
    promised = row.complaint.order.promised_at
    declined = row.complaint.decision == Complaint.Decision.DECLINED
    return (declined, promised is None, promised.timestamp() if promised else 0.0, row.pk)


def put(row: Replacement, state: State) -> None:
    row.state, row.state_since = state, clock.now()
    row.save()


def to_order_again(row: Replacement) -> None:
    """Nothing is on its way for this assembly any more."""
    row.supply_line, row.order_reference = None, ""
    row.ordered_at = row.expected_on = row.received_at = None
    put(row, State.TO_ORDER)


def hand_over_complete(actor: Actor, rows: Iterable[Replacement]) -> list[RepairOrder]:
    """Each job of these that waited only for them goes on to the Bay."""
    jobs = {row.complaint.order_id: row.complaint.order for row in rows}
    facts = facts_for(jobs.values())
    ready = [
        job
        for key, job in jobs.items()
        if job.stage == Stage.AWAITING_ASSEMBLY and facts[key].not_received == 0
    ]
    for job in ready:
        moves.follow(actor, job, Move.ASSEMBLY_HERE)
    return ready


def hand_what_is_awaited_at_the_bay(actor: Actor, rows: Iterable[Replacement]) -> None:
    """A job that is being repaired already is handed its piece in the act that books it in."""
    at_bay = [row for row in rows if row.complaint.order.stage == Stage.REPAIRING]
    stock.hand(actor, [row for row in at_bay if row.state == State.RECEIVED])


def check_day(expected_on: date) -> None:
    if expected_on < clock.today():
        raise Refusal("That day is over. Type the day it is expected.", field="expected_on")
    if expected_on > clock.today() + FARTHEST:
        raise Refusal("That is years away. Check the year.", field="expected_on")


def reason(because: str, kept_with: str = "the job") -> str:
    if not because.strip():
        raise Refusal(f"Say why in a few words; it is kept with {kept_with}.", field="because")
    return because.strip()[:200]


def say(actor: Actor, row: Replacement, words: str, why: str = "") -> None:
    """One line in the story of the job."""
    log.write(
        actor,
        kind="parts",
        subject_kind="order",
        subject_id=row.complaint.order_id,
        words=words,
        reason=why,
    )


def say_of_order(actor: Actor, order_id: int, words: str, why: str = "") -> None:
    """One line in the story of a supplier order."""
    log.write(
        actor,
        kind="parts",
        subject_kind="supply",
        subject_id=order_id,
        words=words,
        reason=why,
    )
