"""The lamps, flags and readings sheets in a browser."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.models import FlagClearing, FlagRead, LampCheck, Reading, Session
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.diagnostics.at_the_bay import a_reading
from tests.factories import a_repair_order, a_session

HTMX = {"HX-Request": "true"}


def get(actor: Actor, name: str, pk: int, **query: Any) -> str:
    response = client_of(actor).get(reverse(name, args=[actor.workshop.slug, pk]), query)
    assert response.status_code == 200
    return text_of(response)


def post(actor: Actor, name: str, pk: int, **given: Any) -> Any:
    address = reverse(name, args=[actor.workshop.slug, pk])
    return client_of(actor).post(address, {"act": uuid4()} | given, headers=HTMX)


def test_lamps_tapped_say_at_once_what_they_mean(ines: Actor) -> None:
    session = a_session(ines)
    seen = {"amber_antilock-engine_running": "steady", "red_brake-engine_running": "dark"}
    said = text_of(post(ines, "lamps", session.pk, **seen))
    assert "May be driven" in said
    assert "The anti-lock function is switched off" in said
    assert "Read the stored flags before" in said


def test_red_and_amber_put_the_mark_on_the_jobs_stub_in_the_same_answer(
    bela: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela, technician=ines)
    seen = {"amber_antilock-engine_running": "steady", "red_brake-engine_running": "steady"}
    said = text_of(post(ines, "lamps", order.session_id, **seen))
    assert said.count("Not to be driven") == 2


def test_no_lamp_tapped_is_refused_and_one_is_kept(ines: Actor) -> None:
    session = a_session(ines)
    assert "Say of at least one lamp" in text_of(post(ines, "lamps", session.pk))
    post(ines, "lamps", session.pk, **{"amber_antilock-key_on": "dark"})
    assert LampCheck.objects.count() == 1


def flags_typed(*codes: str) -> dict[str, str]:
    rows = {f"code-{n}": code for n, code in enumerate(codes, 1)}
    return rows | {f"status-{n}": "stored" for n in range(1, len(codes) + 1)} | {"module": "every"}


def test_several_codes_are_kept_and_shown_as_found(ines: Actor) -> None:
    session = a_session(ines)
    said = text_of(post(ines, "flags", session.pk, **flags_typed("C0045", "U0121-00", "C0050")))
    assert FlagRead.objects.get().flags.count() == 3
    assert "Every module" in said
    assert "Left rear wheel speed" in said


def test_an_unreadable_code_is_told_beside_its_row_and_nothing_typed_is_lost(ines: Actor) -> None:
    session = a_session(ines)
    said = text_of(post(ines, "flags", session.pk, **flags_typed("C0045", "COO50", "", "C0035")))
    assert "Did you mean C0050?" in said
    for typed in ("C0045", "COO50", "C0035"):
        assert f'value="{typed}"' in said
    assert not FlagRead.objects.exists()
    post(ines, "flags", session.pk, **flags_typed("C0045", "C0050", "", "C0035"))
    assert FlagRead.objects.get().flags.count() == 3


def test_none_stored_together_with_a_code_is_refused(ines: Actor) -> None:
    session = a_session(ines)
    both = flags_typed("C0045") | {"none_stored": "on"}
    assert "Either codes were stored or none was" in text_of(
        post(ines, "flags", session.pk, **both)
    )
    post(ines, "flags", session.pk, module="every", none_stored="on")
    assert FlagRead.objects.get().none_stored


def test_flags_are_cleared_only_after_they_were_read(ines: Actor) -> None:
    session = a_session(ines)
    cleared = {"module": "brake control"}
    assert "before clearing" in text_of(post(ines, "flags-clear", session.pk, **cleared))
    post(ines, "flags", session.pk, **flags_typed("C0045"))
    post(ines, "flags-clear", session.pk, **cleared)
    assert FlagClearing.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "says"),
    [("C0045-13", "circuit open"), ("c1abc", "vehicle maker"), ("COO45", "Did you mean C0045?")],
)
def test_the_meaning_of_a_code_is_shown_while_it_is_typed(
    ines: Actor, typed: str, says: str
) -> None:
    assert says in get(ines, "flag-meaning", a_session(ines).pk, **{"code-2": typed})


def test_one_more_line_comes_up_to_the_most_there_may_be(ines: Actor) -> None:
    session = a_session(ines)
    assert 'name="code-4"' in get(ines, "flag-row", session.pk, number=4)
    assert "One more line" not in get(ines, "flag-row", session.pk, number=30)
    beyond = reverse("flag-row", args=[ines.workshop.slug, session.pk])
    assert client_of(ines).get(beyond, {"number": 31}).status_code == 404


def test_the_limit_of_something_else_is_shown_before_it_is_measured(ines: Actor) -> None:
    session = a_session(ines)
    page = get(ines, "readings", session.pk, quantity="disc_runout", position="LF")
    assert "at most 0.06" in page
    nowhere = get(ines, "readings", session.pk, quantity="disc_runout")
    assert "limits are known for left front, right front" in nowhere


def test_a_single_value_is_judged_on_the_readings_sheet(ines: Actor) -> None:
    session = a_session(ines)
    typed = {"quantity": "disc_runout", "position": "LF", "value": "0.02", "unit": "mm"}
    said = text_of(post(ines, "readings", session.pk, **typed))
    assert "Within" in said
    assert Reading.objects.get().verdict == "within"


def test_a_wrong_value_stays_typed_and_says_what_would_be_right(ines: Actor) -> None:
    session = a_session(ines)
    typed = {"quantity": "disc_runout", "position": "LF", "value": "two", "unit": "mm"}
    said = text_of(post(ines, "readings", session.pk, **typed))
    assert "is not a number" in said
    assert 'value="two"' in said
    assert not Reading.objects.exists()


def test_as_found_and_after_repair_stand_side_by_side_and_what_is_owed_is_said(
    ines: Actor,
) -> None:
    session = a_session(ines)
    a_reading(ines, session, value="OL")
    Session.objects.filter(pk=session.pk).update(phase="after_repair")
    assert "to be taken again" in get(ines, "readings", session.pk)
    session.refresh_from_db()
    a_reading(ines, session)
    page = get(ines, "readings", session.pk)
    assert "to be taken again" not in page
    assert "over range" in page


def test_putting_a_reading_right_leaves_the_first_readable(ines: Actor) -> None:
    reading = a_reading(ines, a_session(ines), value="141")
    typed = {"value": "1.41", "unit": "kohm", "temperature": "20"}
    assert "Fill this in" in text_of(post(ines, "reading-replace", reading.pk, **typed))
    post(ines, "reading-replace", reading.pk, because="wrong range", **typed)
    page = get(ines, "readings", reading.session_id)
    assert "141" in page
    assert "replaced" in page
    assert "wrong range" in page


@pytest.mark.parametrize("name", ["session", "lamps", "flags", "readings"])
def test_a_strangers_session_is_404_and_ones_own_is_there(
    ines: Actor, pim: Actor, name: str
) -> None:
    session = a_session(ines)
    for slug in (pim.workshop.slug, ines.workshop.slug):
        assert client_of(pim).get(reverse(name, args=[slug, session.pk])).status_code == 404
    get(ines, name, session.pk)


@pytest.mark.parametrize("name", ["lamps", "flags", "readings"])
def test_the_counter_sees_the_sheets_and_gets_403_for_recording(
    ines: Actor, nuri: Actor, name: str
) -> None:
    session = a_session(ines)
    assert '<form method="post" action="/quay-street/sessions' not in get(nuri, name, session.pk)
    assert post(nuri, name, session.pk).status_code == 403
    assert post(ines, name, session.pk).status_code == 200


@pytest.mark.parametrize("name", ["lamps", "flags", "readings"])
def test_a_sheet_costs_the_same_queries_for_two_records_as_for_twelve(
    ines: Actor, name: str
) -> None:
    session = a_session(ines)

    def record(times: int) -> None:
        for _ in range(times):
            a_reading(ines, session)
            post(ines, "lamps", session.pk, **{"amber_antilock-key_on": "steady"})
            post(ines, "flags", session.pk, **flags_typed("C0045"))

    record(2)
    with counted() as few:
        get(ines, name, session.pk)
    record(10)
    with counted() as many:
        get(ines, name, session.pk)
    assert len(few) == len(many)
