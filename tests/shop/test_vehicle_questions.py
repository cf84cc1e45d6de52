"""What is asked about again [CP]: the figures are common practice, no source."""

from __future__ import annotations

from datetime import date

import pytest

from shop.vehicle_questions import Question, ask_about_distance, ask_about_service_date


def asked(now_km: int, before_km: int | None, days: int) -> Question | None:
    before = None if before_km is None else before_km * 1000
    return ask_about_distance(
        now_km * 1000, before=before, days=days, shown=f"{now_km} km", shown_before=f"{before_km}"
    )


@pytest.mark.parametrize(
    ("now_km", "before_km", "days"),
    [(60_000, None, 0), (60_000, 60_000, 0), (60_040, 60_000, 0), (75_000, 60_000, 365)],
)
def test_an_ordinary_distance_is_not_asked_about(
    now_km: int, before_km: int | None, days: int
) -> None:
    assert asked(now_km, before_km, days) is None


def test_a_lower_distance_is_asked_about_as_lower() -> None:
    question = asked(59_999, 60_000, 30)
    assert question is not None
    assert question.lower
    assert "less than" in question.sentence


@pytest.mark.parametrize(("now_km", "days"), [(600_000, 0), (70_000, 1), (600_000, 100)])
def test_a_jump_that_no_vehicle_drives_is_asked_about(now_km: int, days: int) -> None:
    question = asked(now_km, 60_000, days)
    assert question is not None
    assert not question.lower


def test_a_first_distance_beyond_most_vehicles_lives_is_asked_about() -> None:
    assert asked(1_500_000, None, 0) is not None


@pytest.mark.parametrize(
    ("day", "year", "asks"),
    [
        (date(2020, 9, 1), 2021, False),
        (date(2021, 3, 4), 2021, False),
        (date(2019, 12, 31), 2021, True),
        (date(2019, 12, 31), None, False),
    ],
)
def test_a_service_date_long_before_the_model_year_is_asked_about(
    day: date, year: int | None, asks: bool
) -> None:
    assert (ask_about_service_date(day, year) is not None) is asks
