"""Numbers of papers kept free for the history while jobs are told, so that they follow time.

How many jobs the history will have by a day is known only roughly before they are planned; so many
numbers are left out as there will be at least, and the history fills exactly those.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from django.db.models import Model
from django.utils.timezone import localtime

from jobs.demo.data import DemoProblem
from jobs.demo.history.draw import Drawn
from jobs.models import Invoice, NumberSeries, Payment, RepairOrder
from jobs.services.numbers import FIRST
from shop.models import Workshop

PAPERS: Mapping[type[Model], tuple[str, str]] = {
    RepairOrder: ("order", ""),
    Invoice: ("invoice", "I"),
    Payment: ("receipt", "R"),
}
"""The kind of each series, and the letter after the workshop's."""
_AT_LEAST = 0.9  # of the drawn jobs


def jobs_of(drawn: Sequence[Drawn]) -> int:
    """How many jobs the history of these vehicles will have."""
    work = sum(1 for one in drawn for contact in one.contacts if contact.work is not None)
    return int(work * _AT_LEAST)


class KeptFree:
    """Leaves numbers out as the told jobs go by. `billed`: faults that end in an invoice."""

    def __init__(self, workshop: Workshop, drawn: Sequence[Drawn], billed: set[str]) -> None:
        self.workshop = workshop
        work = [
            (contact.day, contact.work.fault in billed)
            for one in drawn
            for contact in one.contacts
            if contact.work is not None
        ]
        self.days = {
            "order": sorted(day for day, _bill in work),
            "invoice": sorted(day for day, bill in work if bill),
            "receipt": sorted(day for day, bill in work if bill),
        }
        self.left_out = dict.fromkeys(self.days, 0)

    @property
    def orders(self) -> int:
        """How many orders the history will have."""
        return int(len(self.days["order"]) * _AT_LEAST)

    def until(self, moment: datetime, now: datetime) -> None:
        """Leave out the numbers of the jobs that begin before a moment."""
        day = (localtime(moment).date() - localtime(now).date()).days
        for kind, days in self.days.items():
            due = int(bisect_left(days, day) * _AT_LEAST)
            if due > self.left_out[kind]:
                self._skip(kind, due - self.left_out[kind])
                self.left_out[kind] = due

    def _skip(self, kind: str, many: int) -> None:
        series, _made = NumberSeries.objects.get_or_create(
            workshop=self.workshop, kind=kind, defaults={"last": FIRST - 1}
        )
        series.last += many
        series.save(update_fields=["last"])


def serials(workshop: Workshop, model: type[Model], many: int) -> Iterator[int]:
    """So many serials for the history: those left out, then those that follow the last one.

    Raises DemoProblem when more were left out than are needed.
    """
    kind = PAPERS[model][0]
    rows = model._default_manager.filter(workshop=workshop)
    if model is Invoice:
        rows = rows.filter(kind=Invoice.Kind.INVOICE)
    told = set(rows.values_list("serial", flat=True))
    series = NumberSeries.objects.get(workshop=workshop, kind=kind)
    # A workshop's orders began so that the newest has its number; all before are filled.
    first = series.last + 1 - len(told) - many if model is RepairOrder else FIRST
    left = [serial for serial in range(first, series.last + 1) if serial not in told]
    if len(left) > many:
        raise DemoProblem(
            f"{workshop}: {len(left)} numbers ({kind}) were kept free for the history, which "
            f"needs {many}: fewer are to be kept free in jobs/demo/history/numbers.py."
        )
    more = many - len(left)
    left += range(series.last + 1, series.last + 1 + more)
    if more:
        series.last += more
        series.save(update_fields=["last"])
    return iter(left)
