"""The watch as a section: the bad batch is called with its day, and what it costs is said."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from jobs.reports import weights
from jobs.reports.document import Section, Span
from jobs.reports.figures.watch import section
from jobs.reports.figures.watch_words import way_of_alarm
from jobs.reports.figures.watched import picture
from jobs.reports.office import report, span_of
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.jobs.reports.bad_batch import (
    BAD,
    FAILED,
    GOOD,
    KEY,
    SUPPLIER,
    a_bad_batch,
    first_failure,
)
from tests.jobs.reports.lives_made import by_chance

pytestmark = pytest.mark.django_db


def _now(actor: Actor) -> Section:
    return section(actor, span_of(clock.today()))


def test_a_bad_batch_is_called_with_its_counts_and_its_days(vera: Actor) -> None:
    a_bad_batch(vera)
    found = picture(vera, span_of(clock.today()))
    [bad] = [one for one in found.batches.watches if one.group.batch == BAD]
    [good] = [one for one in found.batches.watches if one.group.batch == GOOD]
    assert good.course.raised is None
    assert bad.course.raised is not None
    assert bad.course.seen == FAILED
    made = _now(vera)
    alarm = made.findings[0]
    assert alarm.key == f"failures-{KEY}-{SUPPLIER}-{BAD}"
    assert alarm.words == made.says[0]
    assert f"batch {BAD} of {SUPPLIER}: {FAILED} failures since" in alarm.words
    assert weights.ALARM <= alarm.weight < weights.ALARM + 9
    assert alarm.way is not None
    assert alarm.way.name == "failure-jobs"
    assert alarm.way.parts == (KEY,)
    assert f"batch={BAD}" in alarm.way.query
    assert f"since={found.day(bad.course.began)}" in alarm.way.query
    assert made.figures[0].chart.says.startswith("It came to")


def test_an_alarm_leads_to_the_failures_that_it_counts_and_no_others(vera: Actor) -> None:
    """Two more units of the batch failed long before its level last left nought."""
    units = a_bad_batch(vera)
    found = picture(vera, span_of(clock.today()))
    [bad] = [one for one in found.standing if one.group.batch == BAD]
    failed = [one for one in units if one.batch == BAD and one.exit == "failed"]
    since = found.day(bad.course.began)
    assert bad.course.seen == len(failed) == FAILED
    for early in failed[:2]:
        early.out_day = early.known_day = since.toordinal() - 1
        early.save()
    way = way_of_alarm(found, bad)
    path = reverse(way.name, args=[vera.workshop.slug, *way.parts])
    page = client_of(vera).get(f"{path}?{way.query}")
    assert page.context["page"].paginator.count == FAILED - 2
    assert f"Known since {since:%-d %B %Y}." in text_of(page)
    whole = client_of(vera).get(f"{path}?{way.query.replace('since', 'not')}")
    assert whole.context["page"].paginator.count == FAILED
    assert client_of(vera).get(path, {"since": "2026-02-30"}).status_code == 404


def test_the_day_of_the_alarm_is_that_on_which_it_would_have_been_raised(vera: Actor) -> None:
    """Asked on that day it stands, asked on the day before it does not."""
    a_bad_batch(vera)

    def raised(until: date) -> date | None:
        found = picture(vera, Span(until.replace(day=1), until))
        [bad] = [one for one in found.batches.watches if one.group.batch == BAD]
        return None if bad.course.raised is None else found.day(bad.course.raised)

    day = raised(clock.today())
    assert day is not None
    assert raised(day) == day
    assert raised(day - timedelta(days=1)) is None


def test_a_batch_that_calls_and_stands_out_is_spoken_of_once(vera: Actor) -> None:
    a_bad_batch(vera)
    found = report(vera, span_of(clock.today())).findings
    assert [one.words for one in found if BAD in one.words] == [_now(vera).says[0]]


def test_an_alarm_of_this_month_weighs_more_than_one_of_long_ago(vera: Actor) -> None:
    a_bad_batch(vera)
    found = picture(vera, span_of(clock.today()))
    [bad] = [one for one in found.standing if one.group.batch == BAD]
    assert bad.course.raised is not None
    day = found.day(bad.course.raised)
    then = section(vera, Span(day.replace(day=1), day)).findings[0]
    later = section(vera, Span((day + timedelta(days=31)).replace(day=1), day)).findings[0]
    assert then.key == later.key
    assert then.weight > later.weight


def test_it_says_how_many_look_and_what_that_costs(vera: Actor) -> None:
    a_bad_batch(vera)
    words = " ".join(_now(vera).says)
    assert "2 batches are watched" in words
    assert "once in" in words
    [kinds, batches, changes] = _now(vera).tables
    assert [row[0].value for row in batches.rows] == [BAD]
    assert "1 more batch is watched" in batches.note
    assert "mid-P" in changes.note
    assert kinds.rows[0][1].value is not None


def test_without_a_year_behind_it_the_watch_says_when_it_begins(vera: Actor) -> None:
    made = _now(vera)
    assert "Nothing is watched yet" in made.says[0]
    assert not made.figures
    assert not made.tables
    assert [one.weight for one in made.findings] == [weights.NOTHING_NEW]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whatever_became_of_the_units_each_month_can_be_told(vera: Actor, seed: int) -> None:
    by_chance(vera, seed, count=10)
    for back in (0, 40, 400, 1200, 3000):
        until = clock.today() - timedelta(days=back)
        assert section(vera, Span(until.replace(day=1), until)).says


def test_it_costs_the_same_whatever_there_is(vera: Actor) -> None:
    with counted() as few:
        _now(vera)
    a_bad_batch(vera)
    with counted() as many:
        _now(vera)
    assert len(few) == len(many)


def test_no_alarm_is_said_of_how_many_watches(vera: Actor) -> None:
    """On the day before the first of the bad units failed nothing stands. The hubs, six of which
    failed in their first year, and both batches are watched: three."""
    a_bad_batch(vera)
    until = first_failure() - timedelta(days=1)
    span = Span(until.replace(day=1), until)
    found = picture(vera, span)
    assert not found.standing
    assert (len(found.all), len(found.kinds.watches), found.unwatched) == (3, 1, ())
    made = section(vera, span)
    assert re.match("No alarm stands.* 3 watches", made.says[0])
    assert "under watch: 1 of 1;" in made.findings[-1].words


def test_a_batch_without_others_to_be_held_against_is_counted_as_not_watched(vera: Actor) -> None:
    """With the good batch renamed, all units of the kind are of the bad one: nothing is left to
    hold it against."""
    units = a_bad_batch(vera)
    assert picture(vera, span_of(clock.today())).batches_unwatched == 0
    for one in units:
        one.batch, one.supplier = BAD, SUPPLIER
        one.save()
    found = picture(vera, span_of(clock.today()))
    assert (len(found.batches.watches), found.batches_unwatched) == (0, 1)
    assert any("1 batch is not watched" in said for said in _now(vera).says)


def test_a_batch_of_nobody_leads_to_its_own_units_alone(vera: Actor) -> None:
    """The number of a batch is its supplier's: another's of the same number is not counted."""
    units = a_bad_batch(vera)
    for one in units:
        if one.batch == BAD:
            one.supplier = ""
        elif one.batch == GOOD:
            one.batch = BAD
        one.save()
    found = picture(vera, span_of(clock.today()))
    [bad] = [one for one in found.standing if one.group.batch == BAD]
    way = way_of_alarm(found, bad)
    path = reverse(way.name, args=[vera.workshop.slug, *way.parts])
    page = client_of(vera).get(f"{path}?{way.query}")
    assert page.context["page"].paginator.count == bad.course.seen == FAILED


def test_the_tables_say_what_their_limits_and_their_exposure_are(vera: Actor) -> None:
    a_bad_batch(vera)
    [_kinds, batches, changes] = _now(vera).tables
    assert "other than in the tables of failures" in batches.note
    assert "each batch alone" in batches.note
    assert "Both p are adjusted" in changes.note
