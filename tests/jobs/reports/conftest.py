"""The day on which all that is counted here is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time

import pytest
from django.utils import timezone

from shop import clock
from tests.jobs.reports.lives_made import TODAY


@pytest.fixture
def on_that_day() -> Iterator[None]:
    """Lives are made up to it; asked on a later day, a report is what was known on that one."""
    with clock.at(timezone.make_aware(datetime.combine(TODAY, time(12)))):
        yield
