"""Working something out in a browser: what is asked, what is wrong, what came of it."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from diagnostics.measurements.registry import KINDS
from diagnostics.models import Capture, Measurement, Session
from diagnostics.services import captures
from diagnostics.services.captures import FileSent
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.diagnostics.worked_out import A_CAPTURE, FLAT, a_run_out, dial
from tests.factories import a_session


def url(actor: Actor, name: str, *args: Any) -> str:
    return reverse(name, args=[actor.workshop.slug, *args])


def get(actor: Actor, name: str, *args: Any, **asked: Any) -> str:
    answer = client_of(actor).get(url(actor, name, *args), asked)
    assert answer.status_code == 200
    return text_of(answer)


def send(actor: Actor, session: Session, kind: str, typed: dict[str, Any]) -> Any:
    return client_of(actor).post(
        url(actor, "work-out", session.pk, kind), {"act": str(uuid4())} | typed
    )


def test_every_kind_is_offered_and_its_form_opens(ines: Actor) -> None:
    session = a_session(ines)
    page = get(ines, "work", session.pk)
    for kind in KINDS.values():
        assert kind.name in page
        form = get(ines, "work-out", session.pk, kind.key)
        assert kind.purpose in form
        for caution in kind.cautions:
            assert caution in form


def test_a_kind_that_is_none_is_not_there(ines: Actor) -> None:
    session = a_session(ines)
    assert client_of(ines).get(url(ines, "work-out", session.pk, "horoscope")).status_code == 404


def test_what_is_typed_right_leads_to_its_result_with_picture_and_table(ines: Actor) -> None:
    session = a_session(ines)
    answer = send(ines, session, "disc_runout", dial() | {"position": "LF"})
    made = Measurement.objects.get(session=session)
    assert answer.status_code == 303
    assert answer.headers["Location"] == url(ines, "measurement", made.pk)
    page = client_of(ines).get(answer.headers["Location"]).content.decode()
    assert page.count("<svg") > 3
    assert "0.060" in page
    assert "PL2 sheet" in page
    assert "version 1" in page


def test_every_mistake_is_told_and_nothing_typed_is_lost(ines: Actor) -> None:
    typed = dial() | {"readings-3": "o.03", "thickness_variation": "-1", "note": "cold disc"}
    answer = send(ines, a_session(ines), "disc_runout", typed)
    page = text_of(answer)
    assert answer.status_code == 200
    assert "Choose where it is measured" in page
    assert "“o.03” is not one number" in page
    assert 'value="o.03"' in page
    assert 'value="0.06"' in page
    assert 'value="cold disc"' in page
    assert not Measurement.objects.exists()


def test_the_place_chosen_brings_what_is_known_there_and_keeps_what_was_typed(
    ines: Actor,
) -> None:
    session = a_session(ines)
    page = get(ines, "work-out", session.pk, "disc_runout", position="RF", **{"readings-2": "0.02"})
    assert 'value="0.02"' in page
    assert 'value="RF" id="id_position_1"' in page or "checked" in page


def test_the_counter_may_look_and_may_not_work_it_out(ines: Actor, nuri: Actor) -> None:
    session = a_session(ines)
    made = a_run_out(ines, session)
    assert "Disc run-out" in get(nuri, "measurement", made.pk)
    assert client_of(nuri).get(url(nuri, "work-out", session.pk, "disc_runout")).status_code == 403
    assert "Put it right" not in get(nuri, "measurement", made.pk)


def test_put_right_from_the_page_shows_the_first_as_put_right(ines: Actor) -> None:
    made = a_run_out(ines, a_session(ines))
    page = get(ines, "measurement-replace", made.pk)
    assert 'value="0.06"' in page
    answer = client_of(ines).post(
        url(ines, "measurement-replace", made.pk),
        dial(FLAT) | {"act": str(uuid4()), "because": "the dial had slipped"},
    )
    assert answer.status_code == 303
    assert "See what stands in its place" in get(ines, "measurement", made.pk)
    reading = made.readings.get()
    answer = client_of(ines).get(url(ines, "reading-replace", reading.pk))
    assert answer.headers["Location"] == url(ines, "measurement-replace", made.pk)


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x1a\n\x00\x00", b"a,b\n1,x\n"])
def test_a_file_that_is_no_capture_is_refused_beside_its_field(ines: Actor, content: bytes) -> None:
    file = SimpleUploadedFile("x.csv", content, "text/csv")
    answer = send(ines, a_session(ines), "sensor_waveform", {"position": "LR", "file": file})
    page = text_of(answer)
    assert answer.status_code == 200
    assert 'class="errorlist"' in page
    assert not Capture.objects.exists()
    assert not Measurement.objects.exists()


def test_how_large_a_file_may_be_is_said_before_it_is_sent(ines: Actor) -> None:
    assert "up to 32 MB" in get(ines, "work-out", a_session(ines).pk, "sensor_waveform")


def test_the_sheet_costs_the_same_for_one_measurement_as_for_eleven(ines: Actor) -> None:
    session = a_session(ines)

    def cost() -> int:
        with counted() as queries:
            get(ines, "work", session.pk)
        return len(queries)

    a_run_out(ines, session)
    cost()
    few = cost()
    for _ in range(10):
        a_run_out(ines, session)
    assert cost() == few


def test_a_unit_that_is_none_is_told_and_the_usual_one_is_offered_again(ines: Actor) -> None:
    session = a_session(ines)
    typed = {"length": "5", "length-unit": "furlong", "section": "2.5", "current": "20"}
    answer = send(ines, session, "wire", typed)
    assert answer.status_code == 200
    assert "“furlong” is not a unit" in text_of(answer)
    assert 'value="5"' in get(ines, "work-out", session.pk, "wire", **typed)
    assert send(ines, session, "wire", typed | {"length-unit": "m"}).status_code == 303


def test_a_file_of_another_session_is_refused_beside_its_field(ines: Actor) -> None:
    mine, other = a_session(ines), a_session(ines)
    file = captures.read(FileSent("other.csv", A_CAPTURE))
    stranger = captures.keep(ines, other, file)
    typed = {"connected": "across", "resistance": "4.2"}
    answer = send(ines, mine, "pwm_capture", typed | {"capture": str(stranger.pk)})
    assert "Select a valid choice" in text_of(answer)
    own = captures.keep(ines, mine, file)
    assert send(ines, mine, "pwm_capture", typed | {"capture": str(own.pk)}).status_code == 303


def test_what_is_put_right_keeps_its_file_however_many_came_after(ines: Actor) -> None:
    session = a_session(ines)
    file = captures.read(FileSent("first.csv", A_CAPTURE))
    first = captures.keep(ines, session, file)
    typed = {"connected": "across", "resistance": "4.2", "capture": str(first.pk)}
    assert send(ines, session, "pwm_capture", typed).status_code == 303
    for _ in range(21):
        captures.keep(ines, session, file)
    made = Measurement.objects.get()
    assert f'value="{first.pk}" selected' in get(ines, "measurement-replace", made.pk)


def test_a_unit_that_does_not_fit_the_limit_is_asked_about_and_may_be_confirmed(
    ines: Actor,
) -> None:
    session = a_session(ines)
    typed = {"coil": "sensor", "resistance": "1.4", "temperature": "20", "position": "LR"}
    asked = send(ines, session, "coil_resistance", typed)
    assert "Did the meter show 1.4 kΩ?" in text_of(asked)
    assert "It is right as typed" in text_of(asked)
    assert not Measurement.objects.exists()
    assert send(ines, session, "coil_resistance", typed | {"sure": "1"}).status_code == 303
    assert Measurement.objects.get().says.startswith("1.4\u00a0Ω at 20\u00a0°C.")


def test_a_unit_that_a_field_doubts_may_be_confirmed(ines: Actor) -> None:
    session = a_session(ines)
    typed = {"voltage": "12.6", "voltage-unit": "mV", "sort": "flooded", "rest": "8"}
    typed |= {"temperature": "18"}
    assert "Did the meter show 12.6 V?" in text_of(send(ines, session, "battery_rest", typed))
    assert send(ines, session, "battery_rest", typed | {"sure": "1"}).status_code == 303


def test_one_file_sent_twice_is_offered_once(ines: Actor) -> None:
    session = a_session(ines)
    for _again in range(2):
        captures.keep(ines, session, captures.read(FileSent(name="one.csv", content=A_CAPTURE)))
    form = get(ines, "work-out", session.pk, "sensor_waveform")
    assert form.count("one.csv") == 1
