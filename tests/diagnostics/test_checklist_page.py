"""The checklist sheet in a browser: what stands above the field, and what an answer brings."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.urls import reverse

from diagnostics.models import Phase, ProcedureRun, Reading, Session
from diagnostics.services import runs
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.diagnostics.at_the_bay import (
    a_reading,
    a_run,
    answered,
    at_the_resistance,
    measured,
    now_at,
    step_of,
)
from tests.factories import a_repair_order, a_session

HTMX = {"HX-Request": "true"}


def sheet_of(actor: Actor, session: Session, **query: Any) -> str:
    address = reverse("session", args=[actor.workshop.slug, session.pk])
    response = client_of(actor).get(address, query)
    assert response.status_code == 200
    return text_of(response)


def post(actor: Actor, run: ProcedureRun, name: str = "run-step", **given: Any) -> Any:
    """Send a form of the step that is next, as a browser with htmx does (`htmx=False`: without)."""
    headers = HTMX if given.pop("htmx", True) else {}
    data = {"act": uuid4(), "revision": run.revision, "step": run.current_id} | given
    address = reverse(name, args=[actor.workshop.slug, run.pk])
    return client_of(actor).post(address, data, headers=headers)


def test_the_limit_its_condition_and_source_stand_above_the_empty_field(ines: Actor) -> None:
    session = a_session(ines)
    at_the_resistance(ines, session)
    page = sheet_of(ines, session)
    limit, source, field = (
        page.index(part) for part in ("1.28 – 1.50", "demo figure, PL2 sheet 4", 'id="value"')
    )
    assert max(limit, source) < field
    assert "At 20 °C" in page.replace("\u00a0", " ")
    assert 'inputmode="decimal"' in page
    assert 'id="temperature"' in page


def test_a_value_sent_brings_its_verdict_and_what_comes_next_in_one_small_part(
    ines: Actor,
) -> None:
    run = at_the_resistance(ines, a_session(ines))
    response = post(ines, run, value="41.2", unit="kohm", temperature="12")
    said = text_of(response)
    assert (response["HX-Retarget"], response["HX-Trigger"]) == ("#step", "recorded")
    assert "<html" not in said
    assert "Outside" in said
    assert "brought to" in said
    assert "Next: Clip on the arm" in said
    assert "Says why it broke" in said


def test_without_htmx_the_answer_is_a_way_to_the_same_verdict(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    response = post(ines, run, htmx=False, value="41.2", unit="kohm", temperature="12")
    assert response.status_code == 303
    assert "Outside" in text_of(client_of(ines).get(response["Location"]))


def test_the_button_for_over_range_needs_no_letters_on_the_keypad(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    post(ines, run, value=["", "OL"], unit="kohm")
    assert Reading.objects.get().over_range


def test_what_was_typed_wrong_is_still_there_with_what_would_be_right(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    response = post(ines, run, value="1,390", unit="ohm", temperature="12", note="under the seat")
    said = text_of(response)
    assert response.status_code == 200
    assert "can be read as 1.390 or as 1390" in said
    for typed in ('value="1,390"', 'value="12"', "under the seat", '<option value="ohm" selected>'):
        assert typed in said
    assert not Reading.objects.exists()


def test_a_second_tablet_is_told_and_keeps_what_it_typed(ines: Actor, tomas: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    stale = ProcedureRun.objects.get(pk=run.pk)
    answered(ines, run, measured())
    said = text_of(post(tomas, stale, value="1.41", unit="kohm", temperature="20"))
    assert "another tablet" in said
    assert 'value="1.41"' in said
    assert f'name="revision" value="{run.revision}"' in said


def test_a_double_tap_records_once_and_answers_the_same(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    act = uuid4()
    first = post(ines, run, act=act, value="1.39", unit="kohm", temperature="20")
    step = step_of(run, "resistance")
    second = post(ines, run, act=act, step=step.pk, value="1.39", unit="kohm", temperature="20")
    assert "Within" in text_of(first)
    assert "Within" in text_of(second)
    assert Reading.objects.count() == 1


def test_the_caution_stands_alone_until_it_is_read(ines: Actor) -> None:
    session = a_session(ines)
    run = a_run(ines, session)
    ProcedureRun.objects.filter(pk=run.pk).update(current=step_of(run, "output"))
    run.refresh_from_db()
    page = sheet_of(ines, session)
    assert "Keep fingers, sleeves and leads away" in page
    assert 'id="value"' not in page
    said = text_of(post(ines, run, "run-caution"))
    assert 'id="value"' in said


def test_the_corner_is_asked_when_no_flag_names_it(ines: Actor) -> None:
    session = a_session(ines)
    run = at_the_resistance(ines, session, corner="")
    assert "Which one does the flag or the complaint point at?" in sheet_of(ines, session)
    said = text_of(post(ines, run, "run-corner", corner="RF"))
    assert "Sensor resistance at its connector, right front" in said
    assert "1.15 – 1.40" in said


def test_a_step_left_out_says_why_and_the_next_one_comes(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    assert "Say why this step is left out" in text_of(post(ines, run, "run-skip", because=" "))
    said = text_of(post(ines, run, "run-skip", because="meter at the other bay"))
    assert "The same while the harness is moved" in said
    assert now_at(run) == "move_harness"


def test_a_step_may_be_made_the_next_one_again(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    first = step_of(run, "resistance")
    answered(ines, run, measured())
    page = sheet_of(ines, run.session, step=first.pk)
    assert "Make this step the next one" in page
    said = text_of(post(ines, run, "run-back", step=first.pk))
    assert now_at(run) == "resistance"
    assert "Step 2 of" in said
    assert 'id="value"' in said


def test_touching_a_corner_shows_what_was_measured_there(ines: Actor) -> None:
    session = a_session(ines)
    at_the_resistance(ines, session)
    a_reading(ines, session, value="1.31", position="RF")
    assert "Readings: right front" in sheet_of(ines, session, place="RF")
    assert "Nothing has been measured here yet" in sheet_of(ines, session, place="LF")


def test_a_finished_list_says_what_it_showed_and_what_to_do_now(ines: Actor) -> None:
    session = a_session(ines)
    run = at_the_resistance(ines, session)
    answered(ines, run, measured("OL"))
    last = run.procedure.steps.latest("number")
    ProcedureRun.objects.filter(pk=run.pk).update(current=last)
    run.refresh_from_db()
    ending = last.outcomes.filter(ends=True).first()
    assert ending is not None
    runs.answer(
        ines,
        run,
        act=uuid4(),
        revision=run.revision,
        step=last,
        answer=runs.Answer(outcome=ending.key),
    )
    page = sheet_of(ines, session, run=run.pk)
    assert "This list is done" in page
    assert "Sensor resistance at its connector: over range" in page
    assert "Before anything else" in page


def test_a_fresh_session_proposes_where_to_begin_and_begins_there(ines: Actor) -> None:
    session = a_session(ines)
    page = sheet_of(ines, session)
    assert "Confirm the complaint and rule out fluid" in page
    procedure = session.version and session.version.procedures.get(key="prelude")
    assert procedure is not None
    address = reverse("run-begin", args=[ines.workshop.slug, session.pk])
    given = {"act": uuid4(), "procedure": procedure.pk}
    said = text_of(client_of(ines).post(address, given, headers=HTMX))
    assert "Step 1 of" in said


def test_after_the_repair_readings_belong_to_the_new_phase(ines: Actor) -> None:
    session = a_session(ines)
    a_reading(ines, session, value="OL")
    Session.objects.filter(pk=session.pk).update(phase=Phase.AFTER_REPAIR)
    session.refresh_from_db()
    assert a_reading(ines, session).phase == Phase.AFTER_REPAIR
    assert "Prov" in sheet_of(ines, session)


def test_the_job_stands_at_the_left_with_the_customers_words_above(
    bela: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela, technician=ines)
    page = sheet_of(ines, order.session)
    assert order.number in page
    assert "Yellow light came on after the car wash" in page


def test_a_stranger_gets_404_and_the_counter_sees_but_may_not_answer(
    ines: Actor, nuri: Actor, pim: Actor
) -> None:
    run = at_the_resistance(ines, a_session(ines))
    assert post(pim, run, value="1.39", unit="kohm").status_code == 404
    assert 'id="value"' not in sheet_of(nuri, run.session)
    refused = post(nuri, run, value="1.39", unit="kohm")
    assert refused.status_code == 403
    assert "technician or the service manager" in text_of(refused)
    assert post(ines, run, value="1.39", unit="kohm", temperature="20").status_code == 200


def test_the_sheet_costs_the_same_queries_for_two_readings_as_for_twenty(ines: Actor) -> None:
    session = a_session(ines)
    at_the_resistance(ines, session)
    for _ in range(2):
        a_reading(ines, session)
    with counted() as few:
        sheet_of(ines, session)
    for _ in range(18):
        a_reading(ines, session)
    with counted() as many:
        sheet_of(ines, session)
    assert len(few) == len(many)
