"""Working out anew all that follows from the jobs of a workshop: lives and repairs."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction

from jobs.services import comebacks, lives, repairs
from shop.models import Workshop


@transaction.atomic
def rebuild(workshop: Workshop, *, say: Callable[[str], None] = lambda _line: None) -> int:
    """Lives of units and repairs; how many rows were not as they should be."""
    wrong = lives.rebuild(workshop, say=say) + repairs.rebuild(workshop, say=say)
    return wrong + comebacks.rebuild(workshop, say=say)


def differences(workshop: Workshop) -> list[str]:
    """Rows that are not as they follow from the jobs, a line each. Nothing is kept of it."""
    lines = lives.differences(workshop) + repairs.differences(workshop)
    with transaction.atomic():
        wrong = comebacks.rebuild(workshop)
        transaction.set_rollback(True)
    lines += [f"{wrong} returns are not proposed as the rule says"] if wrong else []
    return lines
