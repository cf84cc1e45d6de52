"""Every list of every platform, walked over every answer: it ends, and says what it is for.

Where the work can hurt somebody, the step says so, or the caution that opens the list does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from django.conf import settings

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import read_catalogue
from diagnostics.catalogue.schema import (
    END,
    VERDICTS,
    Judged,
    OutcomeEntry,
    ProcedureEntry,
    StepEntry,
    StepKind,
)
from diagnostics.catalogue.steps import leads_to
from diagnostics.measurements.registry import KINDS


def _books() -> dict[str, Book]:
    folder = Folder()
    names, _problems = folder.find([str(Path(settings.BASE_DIR) / "fixtures" / "catalogue")])
    return {book.code: book for book in read_catalogue(names, folder).books}


BOOKS = _books()
LISTS = [
    pytest.param(placed.entry, id=f"{code}-{key}")
    for code, book in BOOKS.items()
    for key, placed in book.procedures.items()
]
every_list = pytest.mark.parametrize("procedure", LISTS)


def answers(step: StepEntry) -> Mapping[str, OutcomeEntry]:
    """Every answer that a step may get: its own, the four verdicts, or having been read."""
    if step.by_verdict:
        return {verdict: step.outcomes.get(verdict, OutcomeEntry()) for verdict in VERDICTS}
    return step.outcomes or {"read": OutcomeEntry(goto=step.goto)}


def nearest_end(procedure: ProcedureEntry) -> dict[str, tuple[str, str]]:
    """For each step the answer that leads out the soonest, and the step it leads to."""
    way: dict[str, tuple[str, str]] = {}
    done = {END}
    while len(way) < len(procedure.steps):
        found = {
            key: (name, leads)
            for key, step in procedure.steps.items()
            if key not in way
            for name, answer in answers(step).items()
            if (leads := leads_to(procedure.steps, key, answer.goto)) in done
        }
        assert found, f"no way out of {sorted(set(procedure.steps) - set(way))}"
        way |= found
        done |= set(found)
    return way


def walk(procedure: ProcedureEntry, towards: str, answer: str) -> list[tuple[str, str]]:
    """From the first step to `towards`, there the given answer, and then to the end."""
    first = next(iter(procedure.steps))
    reached: dict[str, list[tuple[str, str]]] = {first: []}
    waiting = [first]
    while waiting:
        key = waiting.pop(0)
        for name, given in answers(procedure.steps[key]).items():
            leads = leads_to(procedure.steps, key, given.goto)
            if leads != END and leads not in reached:
                reached[leads] = [*reached[key], (key, name)]
                waiting.append(leads)
    walked = [*reached[towards], (towards, answer)]
    out = nearest_end(procedure)
    here = leads_to(procedure.steps, towards, answers(procedure.steps[towards])[answer].goto)
    while here != END:
        name, leads = out[here]
        walked.append((here, name))
        here = leads
        assert len(walked) < 200, "it goes round"
    return walked


@every_list
def test_every_answer_of_every_step_is_reached_and_leads_to_the_end(
    procedure: ProcedureEntry,
) -> None:
    walked: set[tuple[str, str]] = set()
    for key, step in procedure.steps.items():
        for answer in answers(step):
            way = walk(procedure, key, answer)
            assert (key, answer) in way
            walked |= set(way)
    assert walked == {
        (key, answer) for key, step in procedure.steps.items() for answer in answers(step)
    }


@every_list
def test_every_step_says_what_it_is_for_and_no_two_say_the_same(
    procedure: ProcedureEntry,
) -> None:
    purposes = [step.purpose for step in procedure.steps.values()]
    assert all(len(purpose) > 15 and purpose.endswith(".") for purpose in purposes)
    assert len(set(purposes)) == len(purposes)
    assert procedure.purpose


@every_list
def test_a_bad_answer_says_what_it_points_to_or_leads_elsewhere(
    procedure: ProcedureEntry,
) -> None:
    silent = [
        f"{key}: {name}"
        for key, step in procedure.steps.items()
        for name, answer in answers(step).items()
        if (name == "outside" if step.by_verdict else answer.judged is Judged.BAD)
        and not answer.says
        and not answer.goto
    ]
    assert silent == []


# Judged by the rule chosen for the workshop, not by a platform's figure.
BY_RULE = frozenset({"brake_imbalance"})


@pytest.mark.parametrize("code", [code for code in BOOKS if code != "GEN"])
def test_every_measured_step_of_a_demo_platform_has_a_limit_or_a_rule(code: str) -> None:
    book = BOOKS[code]
    limited = {placed.entry.quantity for placed in book.limits.values()}
    for name, placed in book.procedures.items():
        for key, step in placed.entry.steps.items():
            judged = step.quantity is None or step.quantity in limited | BY_RULE
            assert judged, f"{name}, {key}"


# The lists are answered by what is worked out, where one number typed would not do.
WORKED_OUT = {
    "prelude": {"brake_fluid"},
    "wheel_speed_circuit": {"hand_spin"},
    "wheel_speed_signal": {"hand_spin", "sensor_waveform", "four_wheels"},
    "brake_switch": {"voltage_drop"},
    "enable_relay_and_fuses": {"voltage_drop", "ground_quality"},
    "motor_modulator": {"pressure_hold"},
    "solenoid_modulator": {"pressure_hold"},
    "base_brake_hydraulics": {"pressure_hold", "line_pressures"},
    "discs_and_linings": {"disc_thickness", "disc_runout", "disc_on_hub", "brake_forces"},
    "steering_gear": {"free_play", "linkage_play", "stop_pressure", "relief_pressure"},
    "wheel_alignment": {"linkage_play", "toe", "alignment", "side_slip"},
    "speed_sensitive_steering": {"relief_pressure", "pump_test", "assist_by_speed"},
    "proving_drive": {"four_wheels", "stopping_distance"},
}


@pytest.mark.parametrize("code", BOOKS)
def test_the_lists_use_what_can_be_worked_out(code: str) -> None:
    used = {
        name: {step.works_out for step in placed.entry.steps.values() if step.works_out}
        for name, placed in BOOKS[code].procedures.items()
    }
    here = {name: kinds for name, kinds in WORKED_OUT.items() if name in used}
    assert {name: used[name] for name in here} == here
    assert all(kinds <= set(KINDS) for kinds in used.values())


# What is done at a step (in its title or text) -> what a caution must then speak of, in the step
# itself or in the caution that opens the list. standards: section on safety, common practice but
# for brake dust (29 CFR 1910.1001 App. F) and the speed on a public road (California VC 26456).
TOPICS: Mapping[str, tuple[str, str]] = {
    "pressure let off before a line is opened": (
        r"bleed screw|gauges? (at|between|in)\b.*(wheel|bleed)|pipe is opened",
        r"let it off|pedal strokes|until it goes hard|under pressure",
    ),
    "eyes before a line is opened": (r"bleed screw|gauges? at (a|one|both)", r"eye|glasses"),
    "brake dust": (r"(look|measure)[^.]*\b(linings|brake discs|pads)\b", r"dust"),
    "lifting": (
        r"\braise\b|lift the car|in the air|underneath|wheels? off\b|by hand, one turn",
        r"maker's points|lift's rating|stands",
    ),
    "air bag and column": (
        r"column cover|column joint|\bat the column\b",
        r"air.bag|battery negative",
    ),
    "brake fluid": (r"\bbleed\b|draw a sample|bleed screw", r"fluid.*(paint|eyes|skin)|paint"),
    "driving": (
        r"move off|walking pace|drive it yourself|on the road\b|driven far|at 80 km/h",
        r"yard|public road|within the law",
    ),
    "wheel nuts": (r"wheel nuts|wheels? back on", r"torque wrench"),
    "the tool moves fluid": (
        r"tool (drives|runs|driving|running)|drive[s]? (a|the) motor",
        r"wheels|standing",
    ),
    "steering fluid": (r"flow meter|valve between pump and gear|gauge between pump", r"hot"),
}


def concerns() -> Iterator[object]:
    for code, book in BOOKS.items():
        for key, placed in book.procedures.items():
            for topic, (work, _caution) in TOPICS.items():
                steps = placed.entry.steps
                here = [
                    name
                    for name, step in steps.items()
                    if re.search(work, f"{step.title} {step.text}", re.IGNORECASE | re.DOTALL)
                ]
                if here:
                    yield pytest.param(placed.entry, topic, here, id=f"{code}-{key}-{topic}")


@pytest.mark.parametrize(("procedure", "topic", "steps"), list(concerns()))
def test_where_work_can_hurt_the_step_says_so(
    procedure: ProcedureEntry, topic: str, steps: list[str]
) -> None:
    first = next(iter(procedure.steps.values()))
    opening = first.caution if first.kind is StepKind.CAUTION else ""
    _work, wanted = TOPICS[topic]
    silent = [
        key
        for key in steps
        if not re.search(wanted, f"{procedure.steps[key].caution} {opening}", re.IGNORECASE)
    ]
    assert silent == []


def test_every_topic_is_met_somewhere() -> None:
    met = {param.values[1] for param in concerns()}  # type: ignore[attr-defined]
    assert met == set(TOPICS)
