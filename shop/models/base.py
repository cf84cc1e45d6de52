"""What every row owned by a workshop has, and the one place where rows are scoped."""

from __future__ import annotations

from typing import Any, Protocol, Self

from django.db import models


class HasWorkshop(Protocol):
    @property
    def workshop(self) -> Any: ...


class WorkshopQuerySet(models.QuerySet[Any]):
    def of(self, actor: HasWorkshop) -> Self:
        """Only the rows of the workshop in which this person is acting."""
        return self.filter(workshop=actor.workshop)


class Owned(models.Model):
    """Abstract: a row that belongs to one workshop."""

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.PROTECT, related_name="+")

    objects = WorkshopQuerySet.as_manager()

    class Meta:
        abstract = True
