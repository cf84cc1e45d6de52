"""Several make reports at once, each over a connection of its own: no number is left out."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime
from threading import Barrier

import pytest
from django.db import connection, connections
from django.utils import timezone

from jobs.models import MonthlyReport, MonthlyReportPaper, NumberSeries, ReportMaking
from jobs.reports.monthly import making, months
from jobs.reports.monthly.issuing import KIND
from jobs.services.numbers import FIRST
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from tests.factories import a_repair_order
from tests.jobs.reports.makings import NOVEMBER_3, Office, begun, two_sections

__all__ = ["two_sections"]
CLERKS = 4
MONTHS = (date(2026, 6, 1), date(2026, 7, 1), date(2026, 8, 1), date(2026, 9, 1))


def make_all(actor: Actor, wanted: list[date], together: Barrier) -> None:
    """Every month in this order, whoever else is making it."""
    for month in wanted:
        together.wait(timeout=120)
        try:
            with clock.at(NOVEMBER_3):
                row = begun(actor, month)
                for _attempt in range(40):
                    if making.step(actor, row).finished:
                        break
        except Refusal as refusal:
            assert "was issued already" in refusal.sentence, refusal.sentence


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("same", [True, False], ids=["one month after another", "each its own"])
def test_several_who_make_reports_leave_a_series_without_gaps(
    bela: Actor, vera: Actor, two_sections: Office, same: bool
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite in memory cannot be written over several connections")
    with clock.at(timezone.make_aware(datetime(2026, 6, 2, 8))):  # noqa: DTZ001
        a_repair_order(bela)
    together = Barrier(CLERKS)

    def clerk(number: int) -> None:
        turned = list(MONTHS) if same else [*MONTHS[number:], *MONTHS[:number]]
        try:
            make_all((bela, vera)[number % 2], turned, together)
        except BaseException:
            together.abort()
            raise
        finally:
            connections.close_all()

    with ThreadPoolExecutor(CLERKS) as pool:
        list(pool.map(clerk, range(CLERKS)))
    reports = MonthlyReport.objects.order_by("serial")
    assert [one.serial for one in reports] == list(range(FIRST, FIRST + len(MONTHS)))
    assert sorted(one.month for one in reports) == list(MONTHS)
    assert NumberSeries.objects.get(kind=KIND).last == FIRST - 1 + len(MONTHS)
    assert MonthlyReportPaper.objects.count() == len(MONTHS)
    assert not ReportMaking.objects.filter(report__isnull=True).exists()
    assert months.not_issued_yet(bela.workshop)
