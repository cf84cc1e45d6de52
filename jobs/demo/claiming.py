"""What became of every claim of the demo: drafted, sent, answered, paid, each at its own moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.demo import hours
from jobs.demo.claim_steps import Teller, take_file
from jobs.demo.cover_data import ClaimRow, Cover, FileRow, Step
from jobs.demo.data import DemoProblem
from jobs.demo.people import House
from jobs.models import ClaimPayer, Complaint
from shop import clock

_SOON_AFTER = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class _Event:
    at: datetime
    row: int
    step: Step | FileRow


def tell(house: House, cover: Cover, now: datetime) -> None:
    """All steps of all claims in the order of their days, as far as they lie before `now`."""
    tellers = [_teller(house, row, now) for row in cover.claims]
    for event in sorted(_events(cover, tellers, now), key=lambda one: one.at):
        with clock.at(event.at):
            if isinstance(event.step, FileRow):
                take_file(house, event.step)
            else:
                tellers[event.row].do(event.step)


def _events(cover: Cover, tellers: list[Teller], now: datetime) -> list[_Event]:
    found = []
    for number, (row, teller) in enumerate(zip(cover.claims, tellers, strict=True)):
        earliest = teller.earliest
        for step in row.steps:
            at = max(earliest, _moment(step.ago, now))
            if at >= now:
                break
            found.append(_Event(at, number, step))
            earliest = at + _SOON_AFTER
    found += [_Event(_moment(file.ago, now), 0, file) for file in cover.files]
    return found


def _moment(ago: int, now: datetime) -> datetime:
    """In the middle of the morning of that day, or of the next one that the workshop is open."""
    day = (now - timedelta(days=ago)).replace(hour=9, minute=40, second=0, microsecond=0)
    return hours.next_open(day)


def _teller(house: House, row: ClaimRow, now: datetime) -> Teller:
    day = now - timedelta(days=row.ago)
    complaint = (
        Complaint.objects.filter(
            order__workshop=house.workshop,
            order__vehicle__plate=row.plate,
            order__taken_in_at__gte=day - timedelta(days=1),
            line=row.line,
        )
        .select_related("order__workshop", "order__vehicle")
        .order_by("order__taken_in_at")
        .first()
    )
    payer = ClaimPayer.objects.filter(workshop=house.workshop, name=row.payer).first()
    if complaint is None or payer is None:
        raise DemoProblem(f"cover.yaml, {row.plate}: no such visit, or no payer {row.payer}.")
    order = complaint.order
    begins = order.closed_at or order.taken_in_at
    return Teller(house, complaint, payer, begins + _SOON_AFTER)
