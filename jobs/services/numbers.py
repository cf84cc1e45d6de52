"""Numbers of papers: one after the other in each workshop, never twice, none left out."""

from __future__ import annotations

from django.db import IntegrityError, transaction

from jobs.models import NumberSeries
from shop.models import Workshop

FIRST = 1001


def next_number(workshop: Workshop, kind: str = "order") -> int:
    """The next number, given only if the caller's transaction is kept.

    The row stays locked until then, so that a refused act leaves no gap. Call it in a
    transaction, late, so that others wait only briefly.
    """
    rows = NumberSeries.objects.select_for_update().filter(workshop=workshop, kind=kind)
    series = rows.first()
    if series is None:
        try:
            with transaction.atomic():
                NumberSeries.objects.create(workshop=workshop, kind=kind, last=FIRST - 1)
        except IntegrityError:
            pass  # another tablet began the series in the same moment
        series = rows.get()
    series.last += 1
    series.save(update_fields=["last"])
    last: int = series.last
    return last
