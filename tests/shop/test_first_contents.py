"""What an empty installation begins with: the pages for any vehicle, and the way to a workshop."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_django.fixtures import Settings

from diagnostics.models import CatalogueVersion, Procedure
from shop.serving import contents

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def state_of_its_own(tmp_path: Path, settings: Settings) -> None:
    settings.STATE_DIR = tmp_path


def test_an_empty_installation_has_the_pages_for_any_vehicle_and_no_invented_one() -> None:
    before = set(CatalogueVersion.objects.values_list("pk", flat=True))
    lines = contents.fill(demo=False)
    version = CatalogueVersion.objects.exclude(pk__in=before).get()
    assert version.platform.code == "GEN"
    assert Procedure.objects.filter(version=version).count() > 3
    assert any("/first/" in line for line in lines)


def test_another_start_leaves_the_pages_as_they_are() -> None:
    contents.fill(demo=False)
    contents.fill(demo=False)
    assert CatalogueVersion.objects.filter(platform__code="GEN").count() == 1
