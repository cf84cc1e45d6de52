"""One thing that a claim should show, and whether it does. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from jobs.evidence.facts import Moment


class Where(StrEnum):
    """The place at which something is entered."""

    ORDER = "order"
    CONCLUDE = "conclude"
    CORRECTION = "correction"
    FLAGS = "flags"
    READINGS = "readings"
    ESTIMATE = "estimate"
    FITTING = "fitting"
    PROVING = "proving"
    PHOTOS = "photos"
    CLOCK = "clock"


@dataclass(frozen=True, slots=True)
class Need:
    """What is missing and why a payer asks. `since`: from when on it can be given.

    `advised`: better with it, and no payer refuses for it alone. Every need may be sent without,
    knowingly; what was missing is then kept with the submission.
    """

    key: str
    sentence: str
    where: Where
    since: Moment = Moment.TAKEN_IN
    advised: bool = False


@dataclass(frozen=True, slots=True)
class Checked:
    """One line of the list: `name` says what it is, `need` is what is wrong, None when given."""

    key: str
    name: str
    need: Need | None = None
    later: bool = False

    @property
    def given(self) -> bool:
        return self.need is None


def given(key: str, name: str) -> Checked:
    """A line with which nothing is wrong."""
    return Checked(key, name)
