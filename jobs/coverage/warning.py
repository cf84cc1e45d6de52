"""Coverage that will soon end, seen while the complaint is still open. Pure."""

from __future__ import annotations

from jobs.coverage.judging import Judged, Outcome

SOON_DAYS = 60
SOON_M = 2_000_000


def ends_soon(one: Judged, *, days: int = SOON_DAYS, distance_m: int = SOON_M) -> bool:
    """Does a term that covers, or may cover once a person or a fact has said so, end within so
    many days or so far from the day it was judged for?"""
    if one.outcome is Outcome.NOT_COVERED:
        return False
    by_time = one.days_left is not None and one.days_left <= days
    by_distance = one.distance_left_m is not None and one.distance_left_m <= distance_m
    return by_time or by_distance
