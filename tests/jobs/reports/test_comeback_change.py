"""Whether repairs come back more often than they did, at whatever ages they are."""

from __future__ import annotations

import numpy as np
import pytest

from jobs.reports.document import Way
from jobs.reports.figures.comeback_change import Change, change_of
from jobs.reports.weights import COMEBACKS, TREND
from tests.jobs.reports.test_comebacks import group, of

WAY = Way("returns")


def changed(*rows: tuple[int, int | None, int]) -> Change | None:
    """Handed over so many days ago, back after so many, how many."""
    return change_of(of(*(group(held, back, count=count) for held, back, count in rows)))


def test_more_returns_lately_than_before_are_told_and_weigh_as_comebacks() -> None:
    found = changed((400, 20, 5), (400, None, 195), (60, 20, 25), (60, None, 175))
    assert found is not None
    assert (found.lately, found.worse) == (25, True)
    finding = found.finding(WAY)
    assert finding is not None
    assert COMEBACKS < finding.weight < COMEBACKS + 10
    assert (
        "More repairs come back than before: 25 were proposed as returns in the last 90 days"
        in finding.words
    )


def test_fewer_are_told_as_fewer() -> None:
    found = changed((400, 20, 40), (400, None, 160), (60, 20, 2), (60, None, 198))
    assert found is not None
    assert "Fewer" in found.words
    finding = found.finding(WAY)
    assert finding is not None
    assert finding.weight < TREND + 10


def test_usual_is_the_rate_of_before_at_the_same_ages() -> None:
    """All come back alike after twenty days; lately as many were followed past it as before."""
    found = changed((400, 20, 10), (400, None, 190), (60, 20, 20), (60, None, 180))
    assert found is not None
    assert found.usual == pytest.approx(10)
    assert found.compared.exposure_1 == pytest.approx(15)


def test_many_young_repairs_alone_are_no_change() -> None:
    """Half as many returns a day of follow-up before, for the old ones are past their first month;
    at equal ages there is nothing to tell."""
    found = changed((500, 10, 10), (500, None, 90), (30, 10, 20), (30, None, 180))
    assert found is not None
    assert not found.told
    assert found.finding(WAY) is None
    assert "no more of a difference than chance" in found.words


def test_a_workshop_of_last_month_or_with_few_returns_has_nothing_to_compare() -> None:
    assert changed((30, 5, 20), (30, None, 80)) is None
    assert changed((400, 5, 4), (400, None, 96), (30, None, 90)) is None
    assert changed((400, None, 100)) is None


def test_a_same_day_return_on_the_day_before_the_window_is_not_lately() -> None:
    found = changed((90, 0, 6), (400, 0, 6), (89, 0, 6), (400, None, 50))
    assert found is not None
    assert found.lately == 6


def test_without_a_change_it_is_told_no_oftener_than_it_says() -> None:
    """Six hundred shops where nothing changes: 2 % to 6.5 % are told one."""
    rng = np.random.default_rng(20261)
    told = 0
    shops = 600
    for _shop in range(shops):
        handed = rng.integers(1, 540, 150)
        comes = np.where(rng.random(150) < 0.15, rng.integers(0, 90, 150), 10_000)
        rows = [
            group(int(days), int(back) if back <= days else None)
            for days, back in zip(handed, comes, strict=True)
        ]
        found = change_of(of(*rows))
        told += found is not None and found.told
    assert 0.02 <= told / shops <= 0.065
