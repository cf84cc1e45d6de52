"""What becomes of an order before it comes: another day, fewer pieces, none at all."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db import transaction

from jobs.models import Replacement, SupplyLine, SupplyOrder
from jobs.queries.estimate import assembly_text
from jobs.services import part_rows
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

State = Replacement.State


@transaction.atomic
def put_off(
    actor: Actor, *, act: UUID, line: SupplyLine, revision: int, expected_on: date, because: str
) -> None:
    """Back-ordered: the rest of this line comes on another day, in the supplier's words."""
    acts.claim(actor, act, "put off supply line", about=line)
    must(actor, Permit.ORDER_PARTS)
    part_rows.check_day(expected_on)
    why = part_rows.reason(because, "the order")
    held = take_line(actor, line, revision)
    new_day(actor, held, expected_on, why)


@transaction.atomic
def cancel_line(
    actor: Actor, *, act: UUID, line: SupplyLine, revision: int, quantity: int, because: str
) -> None:
    """So many of this line will not come: the shelf goes short first, then the latest promise.

    Raises Refusal for more than is awaited, Clash when the line was changed meanwhile.
    """
    acts.claim(actor, act, "cancel supply line", about=line)
    must(actor, Permit.ORDER_PARTS)
    why = part_rows.reason(because, "the order")
    held = take_line(actor, line, revision)
    if not 0 < quantity <= held.awaited:
        raise Refusal(
            f"{held.awaited} of {held.part_number} are awaited; cancel between 1 and that many.",
            field="quantity",
        )
    step(held, cancelled=quantity)
    cut_back(actor, held, why)
    part_rows.say_of_order(
        actor, held.order_id, f"cancelled {quantity} of {held.part_number}, {held.order}", why
    )


@transaction.atomic
def void(actor: Actor, *, act: UUID, order: SupplyOrder, because: str) -> None:
    """The whole order is taken back. Its number stays; only one that brought nothing is voided."""
    acts.claim(actor, act, "void supply order", about=order)
    must(actor, Permit.ORDER_PARTS)
    why = part_rows.reason(because, "the order")
    keys = SupplyLine.objects.of(actor).filter(order=order).values_list("pk", flat=True)
    lock_all(keys)
    lines = part_rows.lock_lines(keys)
    row = SupplyOrder.objects.of(actor).select_for_update().get(pk=order.pk)
    if row.voided_at:
        raise Clash(f"{row} was voided already.")
    if any(line.receipts.exists() for line in lines.values()):
        raise Refusal(
            f"Something of {row} came already, so it cannot be voided. "
            "Cancel what is still awaited, line by line."
        )
    row.voided_at, row.voided_by, row.voided_because = clock.now(), actor.user, why
    row.save()
    for line in lines.values():
        if line.awaited:
            step(line, cancelled=line.awaited)
            cut_back(actor, line, why)
    part_rows.say_of_order(actor, row.pk, f"voided {row} to {row.supplier}", why)


def take_line(actor: Actor, line: SupplyLine, revision: int) -> SupplyLine:
    """The line, locked behind the jobs that wait for it, as the clerk saw it."""
    lock_all([line.pk])
    held = part_rows.lock_lines([line.pk]).get(line.pk)
    if held is None or held.workshop_id != actor.workshop.pk:
        raise Refusal("That line is not in this workshop’s list any more.")
    check_seen(held, revision)
    return held


def check_seen(line: SupplyLine, revision: int) -> None:
    """Raises Clash, with how the line stands, unless it is as the clerk saw it."""
    if line.revision != revision:
        raise Clash(
            f"Somebody changed {line.part_number} meanwhile: of {line.quantity}, "
            f"{line.received} came, {line.cancelled} are cancelled and {line.awaited} are awaited "
            "now. Look at what lies before you, then book in what is missing."
        )


def step(
    line: SupplyLine,
    *,
    received: int = 0,
    cancelled: int = 0,
    expected_on: date | None = None,
    late_because: str | None = None,
) -> None:
    """Change a locked line, only if nobody did so since it was read."""
    seen = line.revision
    line.received += received
    line.cancelled += cancelled
    line.awaited = line.quantity - line.received - line.cancelled
    line.expected_on = expected_on or line.expected_on
    line.late_because = line.late_because if late_because is None else late_because
    line.revision = seen + 1
    names = ["received", "cancelled", "awaited", "expected_on", "late_because", "revision"]
    changes = {name: getattr(line, name) for name in names}
    if not SupplyLine.objects.filter(pk=line.pk, revision=seen).update(**changes):
        raise Clash(f"Somebody changed {line.part_number} meanwhile. Load the page again.")


def new_day(actor: Actor, line: SupplyLine, expected_on: date, why: str) -> None:
    """The rest of a locked line, and the jobs that wait for it, expect another day."""
    if not line.awaited:
        raise Clash(f"Nothing of {line.part_number} is awaited any more.")
    step(line, expected_on=expected_on, late_because=why)
    for row in part_rows.waiting_on([line])[line.pk]:
        row.expected_on = expected_on
        row.save(update_fields=["expected_on"])
        words = f"now expects {assembly_text(row)} on {expected_on:%d.%m.%Y}"
        part_rows.say(actor, row, words, why)


def cut_back(actor: Actor, line: SupplyLine, why: str) -> list[Replacement]:
    """Jobs for which the line has no piece left are to be ordered for again."""
    waiting = part_rows.waiting_on([line])[line.pk]
    left = waiting[line.awaited :]
    for row in left:
        words = (
            f"no longer awaits {assembly_text(row)} from {line.order}: it is to be ordered again"
        )
        part_rows.to_order_again(row)
        part_rows.say(actor, row, words, why)
    return left


def lock_all(line_ids: Iterable[int]) -> None:
    """The jobs that wait for these lines, before the lines themselves."""
    rows = Replacement.objects.filter(supply_line__in=list(line_ids), state=State.ORDERED)
    part_rows.lock_jobs(rows.values_list("complaint__order", flat=True))
