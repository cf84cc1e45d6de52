"""For tests of the loader itself: a database that no catalogue page has entered yet."""

from __future__ import annotations

import pytest

from diagnostics.models import (
    CatalogueVersion,
    ChassisSystem,
    Component,
    FailureMode,
    PartNumber,
    Quantity,
)
from shop.models import Platform


@pytest.fixture
def no_catalogue(db: None) -> None:
    PartNumber.objects.update(superseded_by=None)
    for model in (
        CatalogueVersion,
        PartNumber,
        FailureMode,
        Component,
        Quantity,
        ChassisSystem,
        Platform,
    ):
        model._default_manager.all().delete()
