"""The reasons for which a term covers something or does not. Pure."""

from __future__ import annotations

from enum import StrEnum


class Why(StrEnum):
    """What a judgement rests on; `sentences` says each in words."""

    HOLDS = "holds"
    # certainly not
    REMEDIED = "remedied"
    LEFT_OUT = "left_out"
    OTHER_COMPONENT = "other_component"
    OTHER_FAILURE = "other_failure"
    NO_FAULT = "no_fault"
    TIME_OVER = "time_over"
    ENDED_EARLY = "ended_early"
    DISTANCE_OVER = "distance_over"
    STARTS_LATER = "starts_later"
    WAITING_DAYS = "waiting_days"
    WAITING_DISTANCE = "waiting_distance"
    OBJECTION_SHOWN = "objection_shown"
    # a person must say
    BEFORE_ITS_START = "before_its_start"
    ODOMETER_LOWER = "odometer_lower"
    MISSING = "missing"
    OBJECTION_UNPROVED = "objection_unproved"


OUT_OF_SCOPE = frozenset(
    {Why.REMEDIED, Why.LEFT_OUT, Why.OTHER_COMPONENT, Why.OTHER_FAILURE, Why.NO_FAULT}
)
NOT_YET = frozenset({Why.STARTS_LATER, Why.WAITING_DAYS, Why.WAITING_DISTANCE})
