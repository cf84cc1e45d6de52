"""What became of every claim of the demo: drafted, sent, answered, paid, each at its own moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.demo import hours
from jobs.demo.claim_steps import Teller, take_file
from jobs.demo.cover_data import ClaimRow, Cover, FileRow, Step
from jobs.demo.data import DemoProblem, EarlierVisit, VisitRow
from jobs.demo.people import House
from jobs.models import ClaimPayer, Complaint, RepairOrder
from shop import clock

_SOON_AFTER = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class _Event:
    at: datetime
    what: Step | FileRow
    teller: Teller | None = None


class Diary:
    """Claims are told in between the visits, so that their numbers follow the days."""

    def __init__(self, house: House, cover: Cover, now: datetime) -> None:
        self.house = house
        self.cover = cover
        self.now = now
        self.waiting = [_Event(_moment(file.ago, now), file) for file in cover.files]

    def until(self, moment: datetime) -> None:
        """Tell what lies before `moment`, the earliest first."""
        due = sorted((one for one in self.waiting if one.at < moment), key=lambda one: one.at)
        self.waiting = [one for one in self.waiting if one.at >= moment]
        for event in due:
            with clock.at(event.at):
                if isinstance(event.what, FileRow):
                    take_file(self.house, event.what)
                elif event.teller is not None:
                    event.teller.do(event.what)

    def after(self, row: VisitRow, order: RepairOrder) -> None:
        """The visit is over: note what becomes of its claims, as far as it lies before now."""
        for claim in self.cover.claims:
            if isinstance(row, EarlierVisit) and (claim.plate, claim.ago) == (row.plate, row.ago):
                self.waiting += self._events(claim, order)

    def _events(self, claim: ClaimRow, order: RepairOrder) -> list[_Event]:
        teller = _teller(self.house, claim, order)
        earliest = (order.closed_at or order.taken_in_at) + _SOON_AFTER
        found = []
        for step in claim.steps:
            at = max(earliest, _moment(step.ago, self.now))
            if at >= self.now:
                break
            found.append(_Event(at, step, teller))
            earliest = at + _SOON_AFTER
        return found


def _moment(ago: int, now: datetime) -> datetime:
    """In the middle of the morning of that day, or of the next one that the workshop is open."""
    day = (now - timedelta(days=ago)).replace(hour=9, minute=40, second=0, microsecond=0)
    return hours.next_open(day)


def _teller(house: House, row: ClaimRow, order: RepairOrder) -> Teller:
    complaint = Complaint.objects.select_related("order__workshop", "order__vehicle").get(
        order=order, line=row.line
    )
    payer = ClaimPayer.objects.filter(workshop=house.workshop, name=row.payer).first()
    if payer is None:
        raise DemoProblem(f"cover.yaml, {row.plate}: there is no payer {row.payer}.")
    begun = complaint.claims.filter(payer=payer).first()
    return Teller(house, complaint, payer, begun.pk if begun else 0)
