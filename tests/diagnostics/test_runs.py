"""Working through a list: one step at a time, cautions first, two tablets, and ways back."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import ProcedureRun, StepResult
from diagnostics.services import flags, readings, runs
from diagnostics.services.flags import FlagInput
from diagnostics.services.runs import Answer, Measured
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from tests.asserts import refused
from tests.diagnostics.at_the_bay import (
    CAUTION_STEP,
    a_run,
    answered,
    at_the_resistance,
    measured,
    now_at,
    step_of,
)
from tests.factories import a_session


def test_it_refuses_the_step_after_an_unread_caution_and_opens_it_once_read(ines: Actor) -> None:
    run = a_run(ines, a_session(ines))
    assert now_at(run) == CAUTION_STEP
    with refused(says="steps come one at a time"):
        runs.answer(
            ines,
            run,
            act=uuid4(),
            revision=run.revision,
            step=step_of(run, "resistance"),
            answer=measured(),
        )
    caution = step_of(run, CAUTION_STEP)
    runs.acknowledge(ines, run, act=uuid4(), revision=run.revision, step=caution)
    assert answered(ines, run, measured()).reading is not None


def at_a_step_with_a_caution(actor: Actor) -> ProcedureRun:
    run = at_the_resistance(actor, a_session(actor))
    ProcedureRun.objects.filter(pk=run.pk).update(current=step_of(run, "output"))
    run.refresh_from_db()
    return run


def test_it_refuses_a_step_whose_own_caution_is_unread_and_takes_it_once_read(ines: Actor) -> None:
    run = at_a_step_with_a_caution(ines)
    answer = measured("150", unit="mV", temperature="")
    with refused(says="acknowledge the caution first"):
        answered(ines, run, answer)
    step = step_of(run, "output")
    runs.acknowledge(ines, run, act=uuid4(), revision=run.revision, step=step)
    assert now_at(run) == "output"
    assert answered(ines, run, answer).acknowledged


def test_each_person_reads_the_caution_for_themselves(ines: Actor, tomas: Actor) -> None:
    run = at_a_step_with_a_caution(ines)
    step = step_of(run, "output")
    runs.acknowledge(ines, run, act=uuid4(), revision=run.revision, step=step)
    answer = measured("150", unit="mV", temperature="")
    with refused(says="acknowledge the caution first"):
        answered(tomas, run, answer)
    runs.acknowledge(tomas, run, act=uuid4(), revision=run.revision, step=step)
    assert answered(tomas, run, answer).by == tomas.user


@pytest.mark.parametrize(
    ("value", "leads_to"), [("1.39", "move_harness"), ("OL", "clip"), ("41.2", "clip")]
)
def test_the_verdict_decides_which_step_comes_next(ines: Actor, value: str, leads_to: str) -> None:
    run = at_the_resistance(ines, a_session(ines))
    result = answered(ines, run, measured(value))
    assert result.outcome is not None
    assert result.reading is not None
    assert result.outcome.key == result.reading.verdict
    assert now_at(run) == leads_to


def test_suspect_and_opposite_are_the_corner_of_the_run_and_the_one_across(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines), corner="LR")
    first = answered(ines, run, measured())
    ProcedureRun.objects.filter(pk=run.pk).update(current=step_of(run, "other_side"))
    run.refresh_from_db()
    other = answered(ines, run, measured())
    assert first.reading is not None
    assert other.reading is not None
    assert (first.reading.position, other.reading.position) == ("LR", "RR")


def test_the_flags_choose_the_corner_when_they_name_one(ines: Actor) -> None:
    session = a_session(ines)
    flags.record_read(
        ines, session, act=uuid4(), module="brake control", flags=[FlagInput("C0045")]
    )
    assert a_run(ines, session, corner="").corner == "LR"


def test_flags_of_two_corners_choose_none_so_the_step_asks(ines: Actor) -> None:
    session = a_session(ines)
    both = [FlagInput("C0045"), FlagInput("C0040")]
    flags.record_read(ines, session, act=uuid4(), module="brake control", flags=both)
    run = at_the_resistance(ines, session, corner="")
    assert run.corner == ""
    with refused(field="corner", says="corner first"):
        answered(ines, run, measured())
    runs.choose_corner(ines, run, act=uuid4(), revision=run.revision, corner="RF")
    result = answered(ines, run, measured("1.30"))
    assert result.reading is not None
    assert result.reading.position == "RF"


def test_it_refuses_a_corner_that_is_none_and_takes_one_that_is(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines), corner="")
    for wrong in ("", "middle"):
        with refused(field="corner", says="corner"):
            runs.choose_corner(ines, run, act=uuid4(), revision=run.revision, corner=wrong)
    runs.choose_corner(ines, run, act=uuid4(), revision=run.revision, corner="LF")
    assert run.corner == "LF"


def test_a_second_tablet_that_saw_an_older_step_is_told_and_may_go_on(
    ines: Actor, tomas: Actor
) -> None:
    run = at_the_resistance(ines, a_session(ines))
    stale = ProcedureRun.objects.get(pk=run.pk)
    answered(ines, run, measured())
    with pytest.raises(Clash, match="another tablet"):
        answered(tomas, stale, measured("1.40"))
    assert StepResult.objects.filter(run=run, reading__isnull=False).count() == 1
    answered(tomas, ProcedureRun.objects.get(pk=run.pk), measured("OL"))
    assert now_at(run) == "clip"


def test_the_same_sending_answers_once(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    step, act, revision = step_of(run, "resistance"), uuid4(), run.revision
    runs.answer(ines, run, act=act, revision=revision, step=step, answer=measured())
    with pytest.raises(AlreadyDone):
        runs.answer(ines, run, act=act, revision=revision, step=step, answer=measured())
    assert StepResult.objects.filter(run=run, step=step).count() == 1


def test_it_refuses_an_answer_that_the_step_does_not_have_and_takes_one_it_has(
    ines: Actor,
) -> None:
    run = at_the_resistance(ines, a_session(ines))
    answered(ines, run, measured("OL"))
    with refused(field="outcome", says="choose one"):
        answered(ines, run, Answer(outcome="invented"))
    result = answered(ines, run, Answer(outcome="kinked", note="third clip from the hub"))
    assert (result.outcome and result.outcome.judged, result.note) == (
        "bad",
        "third clip from the hub",
    )


def test_it_refuses_to_leave_out_a_step_without_a_reason_and_does_with_one(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    step = step_of(run, "resistance")

    def skip(because: str) -> None:
        runs.skip(ines, run, act=uuid4(), revision=run.revision, step=step, because=because)

    with refused(field="because", says="say why"):
        skip(" ")
    skip("the meter is at the other bay")
    assert now_at(run) == "move_harness"


def test_a_caution_cannot_be_left_out_only_read(ines: Actor) -> None:
    run = a_run(ines, a_session(ines))
    step = step_of(run, CAUTION_STEP)
    with refused(says="cannot be left out"):
        runs.skip(ines, run, act=uuid4(), revision=run.revision, step=step, because="in a hurry")
    runs.acknowledge(ines, run, act=uuid4(), revision=run.revision, step=step)
    assert now_at(run) == "resistance"


def test_measuring_again_with_the_same_outcome_keeps_the_place(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    answered(ines, run, measured("1.39"))
    answered(ines, run, measured("1.40"))
    assert now_at(run) == "other_side"
    again = step_of(run, "resistance")
    runs.answer(ines, run, act=uuid4(), revision=run.revision, step=again, answer=measured("1.41"))
    assert now_at(run) == "other_side"


def test_measuring_again_with_another_outcome_turns_the_way(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    answered(ines, run, measured("1.39"))
    again = step_of(run, "resistance")
    runs.answer(ines, run, act=uuid4(), revision=run.revision, step=again, answer=measured("OL"))
    assert now_at(run) == "clip"


def test_putting_a_reading_right_answers_its_step_anew(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    wrong = answered(ines, run, measured("139")).reading
    assert wrong is not None
    assert now_at(run) == "clip"
    readings.replace(
        ines, wrong, act=uuid4(), typed=Measured("1.39", "kohm", "20"), because="a slip"
    )
    assert now_at(run) == "move_harness"
    last = StepResult.objects.filter(run=run, step__key="resistance").latest("pk")
    assert last.outcome is not None
    assert last.outcome.key == "within"


def test_going_back_makes_an_answered_step_next_and_refuses_one_ahead(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    answered(ines, run, measured())
    with refused(says="one at a time"):
        runs.back(ines, run, act=uuid4(), revision=run.revision, step=step_of(run, "ring"))
    step = step_of(run, "resistance")
    runs.back(ines, run, act=uuid4(), revision=run.revision, step=step)
    assert now_at(run) == "resistance"


def test_beginning_a_list_in_hand_goes_on_with_it(ines: Actor, tomas: Actor) -> None:
    session = a_session(ines)
    run = at_the_resistance(ines, session)
    assert a_run(tomas, session) == run
    assert ProcedureRun.objects.count() == 1


def test_a_list_ends_and_may_be_begun_again(ines: Actor) -> None:
    session = a_session(ines)
    run = at_the_resistance(ines, session)
    last = run.procedure.steps.latest("number")
    ProcedureRun.objects.filter(pk=run.pk).update(current=last)
    run.refresh_from_db()
    ending = last.outcomes.filter(ends=True).first()
    assert ending is not None
    answered(ines, run, Answer(outcome=ending.key))
    assert now_at(run) == ""
    assert run.finished_at is not None
    assert a_run(ines, session) != run


def test_it_refuses_a_list_of_other_pages_and_begins_its_own(ines: Actor) -> None:
    other = a_run(ines, a_session(ines)).procedure
    session = a_session(ines)
    session.version = None
    with refused(field="procedure", says="not on this vehicle's pages"):
        runs.begin(ines, session, act=uuid4(), procedure=other)
    assert a_run(ines, a_session(ines)).procedure == other
