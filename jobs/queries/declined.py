"""What was declined for a vehicle and not taken up since, to be spoken of at its next visit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Max, QuerySet

from jobs.models import AuthorityLine, Complaint, EstimateLine, Payer, RepairOrder
from jobs.stages import Stage
from shop.actor import Actor
from shop.models import Vehicle
from shop.money import total

FEW = 12


@dataclass(frozen=True, slots=True)
class DeclinedBefore:
    """`amount` is what was declined of the complaint, before tax; `lines` are its words."""

    complaint: int
    number: str
    line: int
    words: str
    system: int | None
    declined_at: datetime
    amount: Decimal
    lines: tuple[str, ...]


def declined_before(
    actor: Actor, vehicle: Vehicle, but_for: RepairOrder | None = None
) -> tuple[DeclinedBefore, ...]:
    """The latest of them, newest first. Four queries, however many visits there were.

    A complaint counts by its last answer; what was authorised of it before is not declined.
    """
    last = _last_answers(actor, vehicle, but_for)
    if not last:
        return ()
    said, kept = _said(last)
    found = []
    for answer in last.values():
        complaint, estimate = answer.complaint, answer.authority.estimate_id
        lines = [
            (text, amount)
            for row, text, amount in said[complaint.pk, estimate]
            if row not in kept[complaint.pk]
        ]
        found.append(
            DeclinedBefore(
                complaint.pk,
                complaint.order.number,
                complaint.line,
                complaint.words,
                complaint.system_id,
                answer.authority.answered_at,
                total(amount for _text, amount in lines),
                tuple(text for text, _amount in lines),
            )
        )
    return tuple(sorted(found, key=lambda one: one.declined_at, reverse=True)[:FEW])


def as_lines(found: Iterable[DeclinedBefore]) -> dict[str, dict[str, object]]:
    """Each as a new line of a taking-in, by the name of the button that adds it."""
    return {
        f"again-{one.complaint}": {
            "words": one.words,
            "system": one.system or "",
            "payer": Payer.CUSTOMER,
        }
        for one in found
    }


def _last_answers(
    actor: Actor, vehicle: Vehicle, but_for: RepairOrder | None
) -> dict[int, AuthorityLine]:
    """The last answer of each complaint, where that was a no."""
    rows = Complaint.objects.filter(order__workshop=actor.workshop, order__vehicle=vehicle)
    rows = rows.exclude(order__stage=Stage.VOID).exclude(taken_up__order__in=_standing_orders())
    if but_for is not None:
        rows = rows.exclude(order=but_for)
    last = rows.annotate(last=Max("authority_lines")).exclude(last=None).values("last")
    answers = AuthorityLine.objects.filter(
        pk__in=last, decision=Complaint.Decision.DECLINED
    ).select_related("complaint__order", "complaint__system", "authority")
    newest = answers.order_by("-authority__answered_at", "-pk")[:FEW]
    said_again = _said_again(actor, vehicle)
    return {
        answer.complaint_id: answer
        for answer in newest
        if said_again.get(answer.complaint.words, 0) <= answer.complaint.order.serial
    }


def _said_again(actor: Actor, vehicle: Vehicle) -> dict[str, int]:
    """The last order on which the same words stand: they may be written down by hand too."""
    rows = Complaint.objects.filter(order__workshop=actor.workshop, order__vehicle=vehicle)
    rows = rows.exclude(order__stage=Stage.VOID).order_by("order__serial")
    return dict(rows.values_list("words", "order__serial"))


def _standing_orders() -> QuerySet[RepairOrder]:
    return RepairOrder.objects.exclude(stage=Stage.VOID)


Lines = Mapping[tuple[int, int], list[tuple[str, str, Decimal]]]


def _said(last: Mapping[int, AuthorityLine]) -> tuple[Lines, Mapping[int, set[str]]]:
    """What each revision said for the complaints, and which rows were authorised before."""
    said: dict[tuple[int, int], list[tuple[str, str, Decimal]]] = defaultdict(list)
    for complaint, estimate, row, text, amount in EstimateLine.objects.filter(
        complaint__in=last
    ).values_list("complaint", "estimate", "row", "text", "amount"):
        said[complaint, estimate].append((row, text, amount))
    yes = AuthorityLine.objects.filter(
        complaint__in=last, decision=Complaint.Decision.AUTHORISED
    ).order_by("pk")
    kept: dict[int, set[str]] = defaultdict(set)
    for complaint, estimate in yes.values_list("complaint", "authority__estimate"):
        kept[complaint] = {row for row, _text, _amount in said[complaint, estimate]}
    return said, kept
