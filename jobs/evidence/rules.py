"""What a claim must show for one complaint, held against what is known. Pure.

The rules are common practice of who pays for repairs; they have no source of their own. A payer's
own paper comes first. Each rule looks at the facts and answers with one line, or with none where
the matter does not arise.
"""

from __future__ import annotations

from collections.abc import Callable

from jobs.evidence import carrying, finishing
from jobs.evidence.facts import Facts, Moment, Wants
from jobs.evidence.need import Checked, Need

Rule = Callable[[Facts, Wants], Checked | None]

RULES: tuple[Rule, ...] = (
    carrying.complaint_in_words,
    finishing.authority,
    carrying.flags_before,
    carrying.cause,
    carrying.same_system,
    carrying.condemned,
    carrying.flag_points_there,
    finishing.photos_of_fault,
    finishing.labour,
    finishing.clocked,
    finishing.serials,
    finishing.part_held,
    finishing.photos_of_plate,
    finishing.photos_of_odometer,
    finishing.correction,
    finishing.correction_names_it,
    finishing.readings_after,
    finishing.flags_after,
    finishing.road_test,
    finishing.odometer_out,
)


def checked(facts: Facts, wants: Wants) -> tuple[Checked, ...]:
    """Every line of the list in the order of the work; what the job has not come to is `later`."""
    lines = (rule(facts, wants) for rule in RULES)
    return tuple(_placed(line, facts.moment) for line in lines if line)


def needs(facts: Facts, wants: Wants) -> tuple[Need, ...]:
    """What is missing, in the order of the work."""
    return tuple(line.need for line in checked(facts, wants) if line.need)


def _placed(line: Checked, moment: Moment) -> Checked:
    if line.need is None or line.need.since <= moment:
        return line
    return Checked(line.key, line.name, line.need, later=True)
