"""Which pages of the catalogue are in force. Nothing here writes."""

from __future__ import annotations

from django.db.models import Count, IntegerField, Max, Model, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from diagnostics.models import (
    CatalogueVersion,
    Curve,
    Figure,
    FlagDefinition,
    LabourOperation,
    Limit,
    Procedure,
)


def in_force() -> QuerySet[CatalogueVersion]:
    """The newest version of each platform, with what it holds counted. One query."""
    newest = (
        CatalogueVersion.objects.order_by()
        .filter(platform=OuterRef("platform"))
        .values("platform")
        .annotate(newest=Max("number"))
        .values("newest")
    )
    counts = {
        "limit_count": Limit,
        "figure_count": Figure,
        "curve_count": Curve,
        "flag_count": FlagDefinition,
        "procedure_count": Procedure,
        "operation_count": LabourOperation,
    }
    return (
        CatalogueVersion.objects.filter(number=Subquery(newest))
        .select_related("platform")
        .annotate(**{name: _count(model) for name, model in counts.items()})
        .order_by("platform__code")
    )


def _count(model: type[Model]) -> Coalesce:
    rows = (
        model._default_manager.order_by()
        .filter(version=OuterRef("pk"))
        .values("version")
        .annotate(count=Count("pk"))
        .values("count")
    )
    return Coalesce(Subquery(rows, output_field=IntegerField()), 0)
