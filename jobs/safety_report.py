"""When a safety-defect complaint is worth making, and a text for it. Pure.

Nothing is ever sent from here: a person reads the text, corrects it and sends it, or does not.
Own words; which facts such an office asks for is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class LikeFailures:
    """How often a component of one model failed in this workshop within twelve months."""

    component: str
    model: str
    times: int
    vehicles: int

    @property
    def words(self) -> str:
        often = "once" if self.times == 1 else f"{self.times} times"
        where = "1 vehicle" if self.vehicles == 1 else f"{self.vehicles} vehicles"
        return (
            f"{self.component} of the {self.model}: failed {often} on {where} in this workshop "
            "within twelve months."
        )


@dataclass(frozen=True, slots=True)
class Report:
    """What the text is made of; "" and None are left out of it, or said to be unknown."""

    office: str
    workshop: str
    workshop_reached: str
    model: str
    model_year: int | None
    in_service_on: date | None
    came_in_on: date
    distance: str
    complaint: str
    cause: str
    shown_by: tuple[str, ...]
    not_to_be_driven: tuple[str, ...]
    correction: str
    like: LikeFailures | None
    vin: str = ""
    customer: str = ""


def year_before(day: date) -> date:
    """The same day of the year before; the 28th for a 29 February."""
    if (day.month, day.day) == (2, 29):
        return date(day.year - 1, 2, 28)
    return day.replace(year=day.year - 1)


def reasons(
    like: LikeFailures | None, *, least: int, not_to_be_driven: tuple[str, ...]
) -> tuple[str, ...]:
    """Why the text is offered, a sentence each; none when nothing asks for it."""
    said = [like.words] if like is not None and like.times >= least else []
    marked = (f"The vehicle was marked not to be driven: {_ended(why)}" for why in not_to_be_driven)
    return (*said, *marked)


def text(report: Report) -> str:
    """The complaint as plain text, a blank line between its parts."""
    return "\n\n".join("\n".join(part) for part in _parts(report) if part) + "\n"


def _parts(report: Report) -> Iterator[list[str]]:
    yield [f"To: {report.office}"] if report.office else []
    yield [f"Possible safety defect: {_subject(report)}"]
    yield ["THE VEHICLE", *_vehicle(report)]
    yield ["WHAT HAPPENED, in the words of the person who brought it", f"“{report.complaint}”"]
    yield ["WHAT WE FOUND", *_found(report)]
    yield ["HOW OFTEN", report.like.words] if report.like and report.like.times > 1 else []
    yield ["WHAT WAS DONE", report.correction or "Nothing yet when this was written."]
    yield ["WHO WRITES", *_who(report)]


def _subject(report: Report) -> str:
    return f"{report.model}, {report.cause or 'cause not concluded yet'}"


def _vehicle(report: Report) -> list[str]:
    return [
        f"Make and model: {report.model}",
        f"Model year: {report.model_year or 'not known'}",
        *([f"VIN: {report.vin}"] if report.vin else []),
        f"In service since: {_day(report.in_service_on) if report.in_service_on else 'not known'}",
        f"Distance: {report.distance}, read on {_day(report.came_in_on)}",
    ]


def _found(report: Report) -> list[str]:
    found = [report.cause[:1].upper() + report.cause[1:] if report.cause else "Not concluded yet."]
    found += [f"Shown by: {one}" for one in report.shown_by]
    return found + [
        f"We marked the vehicle not to be driven: {_ended(why)}" for why in report.not_to_be_driven
    ]


def _who(report: Report) -> list[str]:
    lines = [report.workshop, *report.workshop_reached.splitlines()]
    if report.customer:
        return [*lines, f"Owner: {report.customer}"]
    return [*lines, "The owner's name is left out; ask the workshop."]


def _ended(words: str) -> str:
    return words if words.endswith((".", "!", "?")) else f"{words}."


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
