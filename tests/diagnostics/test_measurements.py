"""Working out: figures become readings, files stay whole, and what was shown is shown again."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

import pytest
from django.db.models import QuerySet

from diagnostics.measurements.given import Given
from diagnostics.measurements.kept import outcome_of, typed_of
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Figure, Outcome
from diagnostics.models import Capture, Measurement, Reading
from diagnostics.queries.evidence import candidates
from diagnostics.queries.picture import readings_of
from diagnostics.services import captures, measurements
from diagnostics.services.captures import FileSent
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from shop.queries.acts import was_this
from tests.asserts import refused
from tests.diagnostics.worked_out import A_CAPTURE, DIAL, FLAT, a_run_out, dial, taken
from tests.factories import a_session, a_vehicle


def test_the_figure_that_a_limit_judges_becomes_a_reading(ines: Actor) -> None:
    """[C] Section 8 of the reference sheet: raw run-out 0.060 mm, 0.058284 mm once per turn."""
    made = a_run_out(ines, a_session(ines))
    reading = made.readings.get(quantity__key="disc_runout")
    assert reading.value == pytest.approx(60e-6)
    assert (reading.typed_value, reading.typed_unit) == ("0.060", "mm")
    assert (reading.position, reading.verdict) == ("LF", "near")
    assert reading.limit_high == pytest.approx(60e-6)
    assert "PL2" in reading.limit_source
    assert made.verdict == "near"


def test_what_was_shown_is_kept_with_the_version_that_made_it(ines: Actor) -> None:
    made = Measurement.objects.get(pk=a_run_out(ines, a_session(ines)).pk)
    outcome = outcome_of(made.outcome)
    once = next(one for one in outcome.figures if one.quantity == "disc_runout_harmonic")
    assert once.value == pytest.approx(58.284e-6, abs=1e-9)
    assert outcome.charts
    assert made.version == 1
    assert typed_of(made.typed)["readings-5"] == "0.06"


def test_without_a_limit_on_the_pages_the_figure_is_kept_and_not_judged(ines: Actor) -> None:
    session = a_session(ines, vehicle=a_vehicle(ines, platform="GEN"))
    reading = a_run_out(ines, session).readings.get(quantity__key="disc_runout")
    assert reading.verdict == "not_judged"


def test_it_is_refused_where_no_wheel_was_chosen(ines: Actor) -> None:
    with refused(field="position", says="where it was measured"):
        a_run_out(ines, a_session(ines), position="")
    with refused(field="position", says="where it was measured"):
        a_run_out(ines, a_session(ines), position="front")


def test_sent_twice_it_is_kept_once_and_refused_nothing_is_kept(ines: Actor) -> None:
    session, act = a_session(ines), uuid4()
    what = taken(dial())
    measurements.record(ines, session, act=act, taken=what)
    with pytest.raises(AlreadyDone):
        measurements.record(ines, session, act=act, taken=what)
    assert Measurement.objects.filter(session=session).count() == 1
    with refused(field="position", says=""):
        a_run_out(ines, session, position="RR-side")
    assert Reading.objects.filter(session=session).count() == 1


def test_put_right_both_stay_readable_and_only_the_second_stands(ines: Actor) -> None:
    session = a_session(ines)
    first = a_run_out(ines, session)
    with refused(field="because", says="what was wrong"):
        measurements.replace(ines, first, act=uuid4(), taken=taken(dial(FLAT)), because=" ")
    second = measurements.replace(
        ines, first, act=uuid4(), taken=taken(dial(FLAT)), because="the dial had slipped"
    )
    assert second.replaces == first
    shown = {one.shown: one.replaced for one in readings_of(session)}
    assert shown == {"0.060\u00a0mm": True, "0.030\u00a0mm": False}
    assert [row.measurement_id for row in Reading.objects.standing()] == [second.pk]
    assert [one.verdict for one in candidates(session) if one.kind == "reading"] == ["within"]
    with pytest.raises(Clash):
        measurements.replace(
            ines, first, act=uuid4(), taken=taken(dial()), because="somebody else's"
        )


def test_the_story_says_what_came_out(ines: Actor) -> None:
    a_run_out(ines, a_session(ines))
    line = LogEntry.objects.filter(kind="measurement").latest("pk")
    assert "disc run-out, left front" in line.words
    assert "0.060" in line.words


# ---- an instrument's file ----


def test_a_file_is_kept_byte_for_byte_with_its_sum(ines: Actor) -> None:
    session = a_session(ines)
    file = captures.read(FileSent("left rear.csv", A_CAPTURE))
    kept = captures.keep(ines, session, file)
    assert captures.content_of(kept) == A_CAPTURE
    assert (kept.samples, kept.channels, kept.size) == (400, 1, len(A_CAPTURE))
    assert kept.seconds == pytest.approx(0.399)
    again = captures.read(FileSent(kept.name, captures.content_of(kept)), kept)
    assert captures.keep(ines, session, again) == kept
    assert Capture.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", ""),
        (b"dear reader,\nthis is a letter\n", ""),
        (A_CAPTURE.replace(b"0.2000;", b"O.2000;"), "202"),
        (A_CAPTURE.replace(b"0.2000;0.000", b"0.2000;nan"), "202"),
    ],
)
def test_what_is_no_capture_is_refused_with_its_place_and_not_kept(
    db: None, content: bytes, says: str
) -> None:
    with refused(field="file", says=says):
        captures.read(FileSent("x.csv", content))
    assert not Capture.objects.exists()


def test_a_rate_that_is_no_number_is_said_beside_its_field(db: None) -> None:
    with refused(field="sample_rate", says="number"):
        captures.read(FileSent("x.csv", A_CAPTURE, sample_rate="quick"))
    with refused(field="sample_rate", says="more than nought"):
        captures.read(FileSent("x.csv", A_CAPTURE, sample_rate="0"))


def test_a_name_with_a_folder_in_it_is_only_a_name(ines: Actor) -> None:
    file = captures.read(FileSent("..\\..\\etc/pass\x07wd.csv", A_CAPTURE))
    assert captures.keep(ines, a_session(ines), file).name == "passwd.csv"


def test_the_same_input_gives_the_same_outcome(ines: Actor) -> None:
    first, second = (a_run_out(ines, a_session(ines), DIAL) for _ in range(2))
    assert first.outcome == second.outcome


# ---- what nobody means, and somebody sends ----


def test_one_sending_stands_for_one_kind_at_one_place_of_the_list(ines: Actor) -> None:
    session, act = a_session(ines), uuid4()
    measurements.record(ines, session, act=act, taken=taken(dial()))
    fluid = taken(
        {"grade": "dot4", "boiling": "172", "water": "2.8"}, kind="brake_fluid", position=""
    )
    with pytest.raises(AlreadyDone) as done:
        measurements.record(ines, session, act=act, taken=fluid)
    assert not was_this(ines, done.value), "it would be taken for the run-out, and lost"


def test_numbers_that_no_column_holds_are_refused_and_plain_ones_are_taken(ines: Actor) -> None:
    session, what = a_session(ines), taken(dial())
    endless = Figure("disc_runout", "Run-out", 1e40, "mm", decimals=2, keep=True)
    wild = replace(what.kind, work_out=lambda given, known: Outcome("Wild.", figures=(endless,)))
    with refused(says="Check the digits"):
        measurements.record(ines, session, act=uuid4(), taken=replace(what, kind=wild))
    assert measurements.record(ines, session, act=uuid4(), taken=what).pk


def test_next_to_nothing_is_kept_as_nought(ines: Actor) -> None:
    what = taken(dial())
    tiny = Figure("disc_runout", "Run-out", 5.5e-40, "mm", keep=True)
    kind = replace(what.kind, work_out=lambda given, known: Outcome("Tiny.", figures=(tiny,)))
    made = measurements.record(ines, a_session(ines), act=uuid4(), taken=replace(what, kind=kind))
    assert made.readings.get().typed_value == "0.000000000000"


def test_what_a_kind_did_not_think_of_is_refused_and_not_an_error(ines: Actor) -> None:
    def stumbles(given: Given, known: Known) -> Outcome:
        raise ZeroDivisionError

    what = taken(dial())
    with refused(says="do not fit together"):
        measurements.record(
            ines,
            a_session(ines),
            act=uuid4(),
            taken=replace(what, kind=replace(what.kind, work_out=stumbles)),
        )
    assert not Measurement.objects.exists()


def test_two_tablets_that_put_the_same_right_at_once_clash(
    ines: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = a_run_out(ines, a_session(ines))
    measurements.replace(ines, first, act=uuid4(), taken=taken(dial(FLAT)), because="it slipped")
    # The other tablet looked just before.
    monkeypatch.setattr(QuerySet, "exists", lambda self: False)
    with pytest.raises(Clash):
        measurements.replace(ines, first, act=uuid4(), taken=taken(dial()), because="it stuck")
