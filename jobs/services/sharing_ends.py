"""A no to one complaint may make another dearer, whose work shared a step with it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal

from jobs.models import Complaint, EstimateLine, RepairOrder
from jobs.queries.priced import live_labour, price_line, row_key
from shop.errors import Refusal
from shop.money import format_amount


def check_sharing(
    order: RepairOrder, complaints: Sequence[Complaint], chosen: Mapping[int, str]
) -> None:
    """Refuse to record a yes together with a no that makes the yes dearer than was said.

    Call it after the answer was applied and the steps shared anew. The no alone can be recorded;
    then the estimate is given again, with what the rest costs without it.
    """
    yes = Complaint.Decision.AUTHORISED
    said = _said(order)
    dearer: dict[int, Decimal] = defaultdict(Decimal)
    for line in live_labour([order.pk]):
        now, before = price_line(line).amount, said.get(row_key(line))
        if chosen.get(line.complaint_id) == yes and before is not None and now > before:
            dearer[line.complaint_id] += now - before
    for complaint in complaints:
        if complaint.pk in dearer:
            more = format_amount(dearer[complaint.pk], order.workshop.currency)
            raise Refusal(
                f"Without what is declined, complaint {complaint.line} costs {more} more than was "
                "said: a step is no longer shared. Record only the declined line now, give the "
                "estimate again, then record the answer to the rest.",
                field="decisions",
            )


def _said(order: RepairOrder) -> dict[str, Decimal]:
    rows = EstimateLine.objects.filter(estimate__order=order).order_by("estimate__number")
    return dict(rows.values_list("row", "amount"))
