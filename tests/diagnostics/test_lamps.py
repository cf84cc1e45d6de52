"""Looking at the lamps: what is made of it, and what follows."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import LampCheck
from diagnostics.services import lamps
from diagnostics.telltales import Observation, Shown
from jobs.models import UnsafeMark
from shop.actor import Actor
from shop.errors import AlreadyDone
from tests.asserts import refused
from tests.diagnostics.at_the_bay import (
    AMBER,
    AMBER_STEADY,
    BOTH_STEADY,
    KEY_ON,
    NORMAL,
    RED,
    RUNNING,
    lamp,
)
from tests.factories import a_repair_order, a_session


def test_amber_steady_means_antilock_off_and_base_brakes_working(ines: Actor) -> None:
    check = lamps.record(ines, a_session(ines), act=uuid4(), observations=AMBER_STEADY)
    assert "switched off" in check.says
    assert "base brakes work" in check.says
    assert (check.may_drive, check.unsafe, check.normal) == (True, False, False)


def test_red_and_amber_together_forbid_driving_and_mark_the_job(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(bela, technician=ines)
    check = lamps.record(ines, order.session, act=uuid4(), observations=BOTH_STEADY)
    assert check.unsafe
    mark = UnsafeMark.objects.get(order=order)
    assert (mark.because, mark.raised_by) == (check.rule.says if check.rule else "", ines.user)


def test_an_unsafe_look_without_a_job_is_kept_all_the_same(ines: Actor) -> None:
    check = lamps.record(ines, a_session(ines), act=uuid4(), observations=BOTH_STEADY)
    assert check.unsafe
    assert not UnsafeMark.objects.exists()


@pytest.mark.parametrize(
    ("observations", "normal"),
    [
        (NORMAL, True),
        (NORMAL[2:], False),  # the bulbs were not checked
        (NORMAL[:3], False),  # red was not looked at with the engine running
        (AMBER_STEADY, False),
        ((*NORMAL[:2], lamp(AMBER, RUNNING, Shown.FLASHING), NORMAL[3]), False),
        ((lamp(AMBER, KEY_ON, Shown.DARK), *NORMAL[1:]), False),
    ],
    ids=["all", "no bulb check", "no red", "amber on", "amber flashing", "dead bulb"],
)
def test_lamps_are_normal_only_when_bulbs_lit_and_went_dark(
    ines: Actor, observations: tuple[Observation, ...], normal: bool
) -> None:
    check = lamps.record(ines, a_session(ines), act=uuid4(), observations=observations)
    assert check.normal is normal


def test_a_later_look_at_the_same_lamp_stands_for_the_earlier(ines: Actor) -> None:
    twice = (lamp(RED, RUNNING, Shown.STEADY), lamp(RED, RUNNING, Shown.DARK))
    check = lamps.record(ines, a_session(ines), act=uuid4(), observations=twice)
    assert [seen.shown for seen in check.observations.all()] == ["dark"]
    assert not check.unsafe


def test_it_refuses_an_empty_look_and_takes_one_lamp(ines: Actor) -> None:
    session = a_session(ines)
    with refused(says="at least one lamp"):
        lamps.record(ines, session, act=uuid4(), observations=())
    lamps.record(ines, session, act=uuid4(), observations=NORMAL[:1])
    assert LampCheck.objects.count() == 1


def test_the_same_sending_is_recorded_once(ines: Actor) -> None:
    session, act = a_session(ines), uuid4()
    lamps.record(ines, session, act=act, observations=NORMAL)
    with pytest.raises(AlreadyDone):
        lamps.record(ines, session, act=act, observations=NORMAL)
    assert LampCheck.objects.count() == 1


def test_the_parts_counter_may_not_record_lamps_and_the_manager_may(
    nuri: Actor, bela: Actor
) -> None:
    session = a_session(bela)
    with refused(says="technician or the service manager"):
        lamps.record(nuri, session, act=uuid4(), observations=NORMAL)
    lamps.record(bela, session, act=uuid4(), observations=NORMAL)
    assert LampCheck.objects.count() == 1
