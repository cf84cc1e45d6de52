"""Which other operation of the job pays for a step that both contain, in words."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from jobs.models import Complaint, LabourLine


def partners(lines: Collection[LabourLine]) -> Mapping[int, tuple[str, ...]]:
    """By line with something shared, the codes (or texts) of the lines it shares with.

    Two lines share when a step of the catalogue lies in both, at the same place if it is done at
    each. At most one query, and none where nothing is shared.
    """
    sharing = [line for line in lines if line.shared_tenths]
    if not sharing:
        return {}
    steps = _steps(lines)
    found = {}
    for line in sharing:
        own = steps.get(line.pk, set())
        others = [
            other
            for other in lines
            if other.pk != line.pk and own & steps.get(other.pk, set()) and _counts(other)
        ]
        found[line.pk] = tuple(dict.fromkeys(other.code or other.text for other in others))
    return found


def _counts(line: LabourLine) -> bool:
    repair = line.kind == LabourLine.Kind.OPERATION
    return repair and line.complaint.decision != Complaint.Decision.DECLINED


def _steps(lines: Collection[LabourLine]) -> dict[int, set[tuple[str, str]]]:
    rows = LabourLine.objects.filter(pk__in=[line.pk for line in lines])
    found: dict[int, set[tuple[str, str]]] = {}
    values = rows.exclude(operation__shared_steps=None).values_list(
        "pk", "position", "operation__shared_steps__key", "operation__shared_steps__each_place"
    )
    for pk, position, key, each_place in values:
        found.setdefault(pk, set()).add((key, position if each_place else ""))
    return found
