"""Who sold which hours in a month: the labour of the orders released in it.

A complaint's sold tenths are shared out by the time clocked on it, whenever that was; where
nothing was clocked they are those of whoever fitted last, else of the job's technician. What the
workshop pays itself is sold to nobody and kept apart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from jobs.clocked import Span
from jobs.labour_ratios import share_out
from jobs.models import ClockEntry, Complaint, LabourLine, Payer, RepairOrder, Replacement
from jobs.queries.clock import counted
from jobs.queries.sold_hours import is_sold
from jobs.stages import Stage
from shop.models import Workshop


class Basis(StrEnum):
    """Why these tenths are this person's."""

    CLOCK = "clock"
    FITTED = "fitted"
    JOB = "job"


@dataclass(frozen=True, slots=True)
class SoldPart:
    """A person's part of a complaint's sold tenths; `user_id` None when nobody is known."""

    user_id: int | None
    complaint: Complaint
    order: RepairOrder
    tenths: int
    of_tenths: int
    basis: Basis

    @property
    def own_account(self) -> bool:
        """The workshop pays for it: a comeback, say."""
        return self.complaint.payer == Payer.WORKSHOP


def sold_in(workshop: Workshop, span: Span) -> tuple[SoldPart, ...]:
    """The parts of every complaint, by order; they add up to the sold tenths. Three queries."""
    complaints, tenths = _complaints(workshop, span)
    keys = list(complaints)
    weights = _clocked(keys)
    fitters = dict(
        Replacement.objects.filter(complaint__in=keys, state=Replacement.State.FITTED)
        .order_by("fitted_at", "pk")
        .values_list("complaint", "fitted_by")
    )
    parts = []
    for key, complaint in complaints.items():
        shares, basis = _shares(tenths[key], weights.get(key), fitters.get(key), complaint)
        parts += [
            SoldPart(user, complaint, complaint.order, share, tenths[key], basis)
            for user, share in shares.items()
            if share
        ]
    return tuple(parts)


def _complaints(workshop: Workshop, span: Span) -> tuple[dict[int, Complaint], dict[int, int]]:
    lines = (
        LabourLine.objects.filter(
            complaint__order__workshop=workshop,
            complaint__order__stage=Stage.RELEASED,
            complaint__order__closed_at__gte=span.start,
            complaint__order__closed_at__lt=span.end,
            withdrawn=False,
        )
        .select_related("complaint__order")
        .order_by("-complaint__order__closed_at", "complaint__line", "pk")
    )
    complaints: dict[int, Complaint] = {}
    tenths: dict[int, int] = defaultdict(int)
    for line in lines:
        if is_sold(line):
            complaints.setdefault(line.complaint_id, line.complaint)
            tenths[line.complaint_id] += line.sold_tenths
    return complaints, tenths


def _clocked(complaints: Iterable[int]) -> dict[int, dict[int, timedelta]]:
    """Seconds each person clocked on each of these complaints; all of them are closed."""
    weights: dict[int, dict[int, timedelta]] = defaultdict(lambda: defaultdict(timedelta))
    for row in ClockEntry.objects.filter(complaint__in=list(complaints)).order_by("pk"):
        weights[row.complaint_id][row.user_id] += counted(row)
    return weights


def _shares(
    tenths: int,
    weights: dict[int, timedelta] | None,
    fitter: int | None,
    complaint: Complaint,
) -> tuple[dict[int | None, int], Basis]:
    if weights and sum(weights.values(), timedelta()) >= timedelta(seconds=1):
        shares = share_out(tenths, weights)
        return {user: share for user, share in shares.items() if share}, Basis.CLOCK
    if fitter is not None:
        return {fitter: tenths}, Basis.FITTED
    return {complaint.order.technician_id: tenths}, Basis.JOB
