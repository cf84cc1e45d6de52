"""What makes an odometer reading or an in-service date worth asking about again. Pure.

Nothing here refuses: a replaced instrument, an import or a mistyped earlier figure all exist.
The figures are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

METRES_PER_KM = 1000
MOST_KM_PER_DAY = 1500
ROOM_KM = 3000
MOST_KM_IN_ALL = 1_000_000


@dataclass(frozen=True, slots=True)
class Question:
    """`sentence` asks; `lower` tells that the distance is less than one seen before."""

    sentence: str
    lower: bool = False


def ask_about_distance(
    metres: int, *, before: int | None, days: int, shown: str, shown_before: str
) -> Question | None:
    """What to ask about an odometer reading, or None.

    metres, before: this and the last distance in metres; days: between the two.
    shown, shown_before: both as they are written on the screen.
    """
    if before is not None and metres < before:
        return Question(
            f"{shown} is less than the {shown_before} seen before. "
            "If it is right, say why: a replaced instrument, or the earlier figure mistyped.",
            lower=True,
        )
    if before is not None:
        km = (metres - before) / METRES_PER_KM
        if km > ROOM_KM + MOST_KM_PER_DAY * max(days, 0):
            when = "today" if days < 1 else f"{days} days ago" if days > 1 else "a day ago"
            return Question(
                f"{shown} is far more than the {shown_before} seen {when}. "
                "If it is right, say why; if a digit slipped in, take it out."
            )
        return None
    if metres > MOST_KM_IN_ALL * METRES_PER_KM:
        return Question(
            f"{shown} is more than most vehicles ever run. If it is right, say how you know."
        )
    return None


def ask_about_service_date(in_service_on: date, model_year: int | None) -> Question | None:
    """What to ask about the day a vehicle went into service, or None.

    A model year may begin a calendar year early; a day before that is questioned.
    """
    if model_year is None or in_service_on.year >= model_year - 1:
        return None
    return Question(
        f"{in_service_on:%d.%m.%Y} is more than a year before model year {model_year}. "
        "Check both; if they are right, say so below."
    )


def ask_about_first_distance(
    in_service_on: date, *, seen_on: date | None, shown: str
) -> Question | None:
    """What to ask when an odometer was read on a day before the vehicle went into service.

    seen_on: the first reading, shown: as it is written on the screen.
    """
    if seen_on is None or in_service_on <= seen_on:
        return None
    return Question(
        f"The odometer was read on {seen_on:%d.%m.%Y} at {shown}, before {in_service_on:%d.%m.%Y}. "
        "Check both; if they are right, say so below."
    )
