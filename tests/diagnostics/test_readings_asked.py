"""What is asked about a value before it is judged, and what its tool and conditions change."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import reverse

from diagnostics import words
from diagnostics.models import Limit, Quantity, Reading, Session, StepResult
from diagnostics.queries.limits import limit_for, shown
from diagnostics.services import runs
from diagnostics.services.readings import Typed
from diagnostics.services.runs import Answer
from shop.actor import Actor
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.diagnostics.at_the_bay import a_reading, at_the_resistance
from tests.factories import a_session

HTMX = {"HX-Request": "true"}
# A rear sensor of platform PL2 may have 1.28 to 1.50 kilohms at 20 degrees.
WRONG_UNIT: dict[str, Any] = {"value": "1.4", "unit": "ohm"}


def free(actor: Actor, session: Session, **typed: Any) -> str:
    address = reverse("readings", args=[actor.workshop.slug, session.pk])
    sent = {"act": uuid4(), "quantity": "sensor_resistance", "position": "LR"} | typed
    return text_of(client_of(actor).post(address, sent, headers=HTMX))


# ---- a unit that cannot be meant ----


def test_a_number_that_fits_another_unit_is_asked_about_and_kept_when_confirmed(
    ines: Actor,
) -> None:
    session = a_session(ines)
    with refused(field="sure", says="kΩ"):
        a_reading(ines, session, **WRONG_UNIT)
    assert not Reading.objects.exists()

    kept = a_reading(ines, session, **WRONG_UNIT, sure=True)
    assert (kept.value, kept.verdict, kept.unit_confirmed) == (1.4, "outside", True)
    assert "unit confirmed" in words.conditions(kept)


def test_what_is_in_no_doubt_is_not_asked_about_and_the_tick_leaves_no_trace(ines: Actor) -> None:
    session = a_session(ines)
    assert not a_reading(ines, session, sure=True).unit_confirmed
    assert a_reading(ines, session, value="OL").over_range
    assert a_reading(ines, session, value="2.9").verdict == "outside"


def test_a_free_reading_shows_the_question_with_what_was_typed(ines: Actor) -> None:
    session = a_session(ines)
    page = free(ines, session, **WRONG_UNIT, temperature="20")
    assert "It really is 1.4 Ω" in page
    assert 'value="1.4"' in page
    assert '<option value="ohm" selected>' in page  # asked, not assumed
    assert 'name="sure"' in page
    assert "errorlist" in page  # by which a waiting entry shows why it was refused
    assert not Reading.objects.exists()

    free(ines, session, **WRONG_UNIT, temperature="20", sure="on")
    assert Reading.objects.get().unit_confirmed


def test_a_reading_put_right_is_asked_about_too(ines: Actor) -> None:
    first = a_reading(ines, a_session(ines))
    address = reverse("reading-replace", args=[ines.workshop.slug, first.pk])
    typed = {"act": uuid4(), "because": "a slip", "temperature": "20"} | WRONG_UNIT
    assert "It really is 1.4 Ω" in text_of(client_of(ines).post(address, typed, headers=HTMX))
    assert Reading.objects.count() == 1
    client_of(ines).post(address, typed | {"sure": "on"}, headers=HTMX)
    assert Reading.objects.get(replaces=first).unit_confirmed


def test_a_step_of_a_list_is_asked_about_too_and_stays_where_it_is(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    assert run.current is not None
    address = reverse("run-step", args=[ines.workshop.slug, run.pk])
    before = StepResult.objects.count()
    act = uuid4()
    typed = {
        "act": act,
        "revision": run.revision,
        "step": run.current.pk,
        "temperature": "20",
    } | WRONG_UNIT
    page = text_of(client_of(ines).post(address, typed, headers=HTMX))
    assert "It really is 1.4 Ω" in page
    assert StepResult.objects.count() == before

    # The same act with the tick: a refusal has not used it up.
    client_of(ines).post(address, typed | {"sure": "on"}, headers=HTMX)
    assert Reading.objects.get().unit_confirmed


# ---- a condition that was not noted ----


def test_a_part_without_its_temperature_is_asked_for_and_kept_unjudged_on_request(
    ines: Actor,
) -> None:
    session = a_session(ines)
    with refused(field="unjudged", says="Note the part’s temperature"):
        a_reading(ines, session, temperature="")
    assert "The limit holds at 20" in free(ines, session, value="1.39", unit="kohm")
    page = free(ines, session, value="1.39", unit="kohm")
    assert "Keep it without a verdict" in page
    assert not Reading.objects.exists()

    free(ines, session, value="1.39", unit="kohm", unjudged="on")
    kept = Reading.objects.get()
    assert kept.verdict == "not_judged"
    assert "that was not noted" in kept.reason


def test_a_noted_temperature_needs_no_tick_and_an_open_circuit_no_temperature(ines: Actor) -> None:
    session = a_session(ines)
    assert a_reading(ines, session, temperature="20").verdict == "within"
    assert a_reading(ines, session, temperature="", value="OL").verdict == "outside"


def test_whether_the_engine_ran_is_asked_for(ines: Actor) -> None:
    vacuum: dict[str, Any] = {
        "quantity": "booster_vacuum",
        "value": "65",
        "unit": "kPa",
        "position": "",
        "temperature": "",
    }
    session = a_session(ines)
    with refused(field="unjudged", says="whether the engine was running"):
        a_reading(ines, session, **vacuum)
    assert a_reading(ines, session, **vacuum, engine="running").verdict != "not_judged"


def test_a_reading_put_right_begins_with_what_was_noted(ines: Actor) -> None:
    first = a_reading(ines, a_session(ines), temperature="31")
    address = reverse("reading-replace", args=[ines.workshop.slug, first.pk])
    assert 'name="temperature" value="31"' in text_of(client_of(ines).get(address))


# ---- pressure as a condition ----


@pytest.fixture
def under_pressure(ines: Actor) -> Limit:
    """The disc's run-out limit of the left front, as if it held from 45 to 55 bar only."""
    runout = Quantity.objects.get(key="disc_runout")
    limit = limit_for(a_session(ines).version, runout, None, "LF")
    assert limit is not None
    Limit.objects.filter(pk=limit.pk).update(
        pressure_low=4.5e6, pressure_high=5.5e6, pressure_unit="bar"
    )
    limit.refresh_from_db()
    return limit


def test_pressure_is_shown_asked_for_and_decides_whether_the_limit_holds(
    ines: Actor, under_pressure: Limit
) -> None:
    session = a_session(ines)
    above = shown(under_pressure)
    assert above.asks_pressure
    assert "pressure 45 – 55\u00a0bar" in above.condition
    value: dict[str, Any] = {
        "quantity": "disc_runout",
        "value": "0.02",
        "unit": "mm",
        "position": "LF",
        "temperature": "",
    }
    with refused(field="unjudged", says="at a pressure of 45 – 55\u00a0bar. Note the pressure"):
        a_reading(ines, session, **value)
    with refused(field="pressure"):
        a_reading(ines, session, **value, pressure="high")
    assert a_reading(ines, session, **value, pressure="50").verdict == "within"
    # Exactly on an end of the condition it still holds; outside it the value is not judged.
    assert a_reading(ines, session, **value, pressure="55").verdict == "within"
    beyond = a_reading(ines, session, **value, pressure="56")
    assert beyond.verdict == "not_judged"
    assert "and it was 56\u00a0bar" in beyond.reason
    assert "at 56\u00a0bar" in words.conditions(beyond)

    address = reverse("readings", args=[ines.workshop.slug, session.pk])
    asked = {"quantity": "disc_runout", "position": "LF"}
    page = text_of(client_of(ines).get(address, asked))
    assert 'name="pressure"' in page
    assert 'name="pressure_unit" value="bar"' in page


# ---- the tool's own uncertainty ----


@pytest.mark.parametrize(
    ("value", "tool", "verdict", "says"),
    [
        # 1.28 to 1.50 kilohms; the usual tool's is 5 ohms, and the last tenth is 22.
        ("1.45", "", "within", "between"),
        ("1.45", "0.06", "near", "by less than the tool’s uncertainty"),
        ("1.45", "± 0.06", "near", "by less than the tool"),
        ("1.45", "5 %", "near", "by less than the tool"),
        ("1.45", "1 %", "within", "between"),
        ("1.52", "0.001", "outside", "above"),
        ("1.52", "0.05", "outside", "measure again with a finer tool"),
    ],
)
def test_the_tools_own_uncertainty_decides_what_is_near_and_what_in_doubt(
    ines: Actor, value: str, tool: str, verdict: str, says: str
) -> None:
    reading = a_reading(ines, a_session(ines), value=value, tool=tool)
    assert reading.verdict == verdict
    assert says.replace("’", "'") in reading.reason.replace("’", "'")


def test_the_tools_uncertainty_is_kept_in_si_and_shown_in_the_readings_line(ines: Actor) -> None:
    session = a_session(ines)
    kept = a_reading(ines, session, tool="0,02")
    assert kept.uncertainty == pytest.approx(20.0)
    assert "tool ± 0.02\u00a0kΩ" in words.conditions(kept)
    assert a_reading(ines, session, tool="0.5 %").uncertainty == pytest.approx(6.95)
    assert a_reading(ines, session).uncertainty is None
    assert a_reading(ines, session, value="OL", tool="0.5 %").uncertainty is None
    page = text_of(client_of(ines).get(reverse("readings", args=["quay-street", session.pk])))
    assert "tool ± 0.02 kΩ" in page


@pytest.mark.parametrize("tool", ["-0.02", "a hair", "± ", "5 % of range"])
def test_an_uncertainty_that_is_no_width_is_refused_beside_its_field(
    ines: Actor, tool: str
) -> None:
    session = a_session(ines)
    if tool.strip(" ±"):
        with refused(field="tool"):
            a_reading(ines, session, tool=tool)
    assert a_reading(ines, session, tool="").uncertainty is None


def test_copper_takes_the_tools_uncertainty_along_to_its_reference(ines: Actor) -> None:
    """At 60 degrees 1,600 ohms are 1,382.6 at 20 (IEC 60028): 120 ohms become 103.7."""
    session = a_session(ines)
    reading = a_reading(ines, session, value="1.6", temperature="60", tool="0.12")
    assert reading.judged_value == pytest.approx(1382.6, abs=0.1)
    assert reading.verdict == "near"
    # 1,382.6 lies 102.6 above the low limit: less than 103.7, more than 100.
    kept = a_reading(ines, session, value="1.6", temperature="60", tool="0.116")
    assert kept.verdict == "within"


# ---- the same number for another thing ----


def test_a_number_used_at_one_quantity_is_refused_at_another(ines: Actor) -> None:
    session, act = a_session(ines), uuid4()
    typed = {"value": "1.39", "unit": "kohm", "temperature": "20", "act": act}
    free(ines, session, **typed)
    assert "for something else" not in free(ines, session, **typed)
    assert Reading.objects.count() == 1
    other = {"quantity": "disc_runout", "position": "LF", "value": "0.02", "unit": "mm"}
    assert "for something else" in free(ines, session, **typed | other)
    assert Reading.objects.count() == 1


def test_a_step_takes_a_typed_value_with_its_tool(ines: Actor) -> None:
    run = at_the_resistance(ines, a_session(ines))
    assert run.current is not None
    act: UUID = uuid4()
    typed = Typed("1.45", "kohm", temperature="20", tool="0.06")
    result = runs.answer(
        ines, run, act=act, revision=run.revision, step=run.current, answer=Answer(reading=typed)
    )
    assert result.reading is not None
    assert result.reading.verdict == "near"
    assert Reading.objects.get().uncertainty == pytest.approx(60.0)
