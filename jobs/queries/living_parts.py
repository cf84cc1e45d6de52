"""The catalogue's part numbers, brought to what can be ordered today."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from diagnostics.models import PartNumber
from jobs.supersession import CataloguePart


def parts_of(component_ids: Collection[int]) -> Mapping[int, Sequence[CataloguePart]]:
    """All numbers of these components, retired and superseded ones too. One query."""
    found: dict[int, list[CataloguePart]] = defaultdict(list)
    rows = PartNumber.objects.filter(component__in=component_ids).order_by("number", "pk")
    for row in rows:
        found[row.component_id].append(
            CataloguePart(
                key=row.pk,
                number=row.number,
                position=row.position,
                superseded_by=row.superseded_by_id,
                supplier=row.supplier,
                price=row.price,
                retired=row.retired,
            )
        )
    return found
