"""The catalogue's lists and limits, fetched once for the many visits of the demo."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.models import (
    Component,
    Limit,
    Procedure,
    Quantity,
    Session,
    Step,
    StepOutcome,
)
from diagnostics.places import is_relative
from diagnostics.queries.limits import most_specific


@dataclass(frozen=True, slots=True)
class Sheet:
    procedure: Procedure
    names_corners: bool


class Shelf:
    def __init__(self) -> None:
        self._sheets: dict[tuple[int | None, str], Sheet] = {}
        self._limits: dict[int | None, list[Limit]] = {}
        self._answers: dict[int, str] = {}

    def list_of(self, session: Session, key: str) -> Sheet:
        """A list of the session's catalogue version. Raises DoesNotExist for an unknown key."""
        place = (session.version_id, key)
        if place not in self._sheets:
            procedure = Procedure.objects.get(version=session.version_id, key=key)
            steps = list(procedure.steps.prefetch_related("outcomes"))
            for step in steps:
                self._answers[step.pk] = _as_it_should_be(step)
            names_corners = any(is_relative(step.position) for step in steps)
            self._sheets[place] = Sheet(procedure, names_corners)
        return self._sheets[place]

    def good_answer(self, step: Step) -> str:
        """The key of the answer that finds nothing wrong."""
        return self._answers[step.pk]

    def limit(
        self, session: Session, quantity: Quantity, component: Component | None, position: str
    ) -> Limit | None:
        version = session.version_id
        if version not in self._limits:
            rows = Limit.objects.filter(version=version).select_related("component")
            self._limits[version] = list(rows)
        rows_here = [row for row in self._limits[version] if row.quantity_id == quantity.pk]
        return most_specific(rows_here, component, position)


def _as_it_should_be(step: Step) -> str:
    """The good answer; where there is none (a flag was found), the first; "" where one measures."""
    outcomes = list(step.outcomes.all())
    good = [one for one in outcomes if one.judged == StepOutcome.Judged.GOOD]
    return next((one.key for one in good or outcomes), "")
