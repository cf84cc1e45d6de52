"""At which step of a procedure a value was read: a wire may fail only while it is moved."""

from __future__ import annotations

from django.db.models import OuterRef, QuerySet, Subquery

from diagnostics.models import Reading, StepResult


def with_step(readings: QuerySet[Reading]) -> QuerySet[Reading]:
    """The readings with the title of their step as `step_title`, None outside any procedure."""
    title = StepResult.objects.filter(reading=OuterRef("pk")).order_by("pk").values("step__title")
    return readings.annotate(step_title=Subquery(title[:1]))


def step_of(reading: Reading) -> str:
    """The step's title, or "" where there is none or `with_step` was not asked."""
    title: str | None = getattr(reading, "step_title", None)
    return title or ""
