"""Who did what when on a job: the order's lines and its session's, in one telling."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from jobs.models import RepairOrder
from jobs.stages import Move
from shop.actor import Actor
from shop.models import LogEntry
from shop.queries.log import log_of


@dataclass(frozen=True, slots=True)
class Closing:
    """How an order was closed, in words, and what was said about it."""

    words: str
    reason: str


def closing_of(order: RepairOrder) -> Closing:
    last = order.moves.last()
    if last is None or last.move == Move.RELEASE:
        words = _("Released without full proof") if order.override_missing else _("Released")
    else:
        words = _("Void") if last.move == Move.VOID else _("Left unrepaired")
    return Closing(words, last.reason if last else "")


def story_of(actor: Actor, order: RepairOrder) -> QuerySet[LogEntry]:
    """Oldest first. A conclusion is told once, by the order's line with the complaint's number."""
    of_order = Q(subject_kind="order", subject_id=order.pk)
    of_session = Q(subject_kind="session", subject_id=order.session_id) & ~Q(kind="conclusion")
    return log_of(actor).filter(of_order | of_session).order_by("at", "pk")
