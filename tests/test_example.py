"""How tests are written here: read this one first.

A test's name is a sentence. The people come from tests/cast.py by name, things come from
tests/factories.py, and both go through the services that the screens use. A test of a refusal
ends with the allowed way succeeding, so that it cannot pass because nothing works at all.
"""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse

from jobs.models import RepairOrder
from jobs.services.moves import move
from jobs.stages import Move, Stage
from shop.actor import Actor
from tests.asserts import refused
from tests.cast import client_of
from tests.factories import a_repair_order, a_vehicle


def test_a_technician_begins_the_diagnosis_of_a_job(bela: Actor, ines: Actor) -> None:
    """The ordinary way: arrange through factories, act through one service, look."""
    order = a_repair_order(bela, technician=ines)
    move(ines, order, Move.BEGIN, act=uuid4(), revision=order.revision)
    assert Stage(order.stage) is Stage.DIAGNOSING


def test_it_refuses_a_second_tablet_that_saw_an_older_state_and_takes_the_newer(
    bela: Actor, ines: Actor, tomas: Actor
) -> None:
    """A refusal test: the refusal and its sentence first, the allowed way last."""
    order = a_repair_order(bela, technician=ines)
    stale = RepairOrder.objects.get(pk=order.pk)
    move(ines, order, Move.BEGIN, act=uuid4(), revision=order.revision)
    with refused(says="meanwhile"):
        move(tomas, stale, Move.BEGIN, act=uuid4(), revision=stale.revision)
    move(bela, order, Move.VOID, act=uuid4(), revision=order.revision, reason="Opened by mistake")
    assert Stage(order.stage) is Stage.VOID


def test_a_stranger_gets_404_for_a_vehicle_that_its_own_workshop_sees(
    bela: Actor, pim: Actor
) -> None:
    """A test through the web: `client_of` is a browser in which the person has signed in."""
    vehicle = a_vehicle(bela)
    seen_there = reverse("vehicle", args=[pim.workshop.slug, vehicle.pk])
    assert client_of(pim).get(seen_there).status_code == 404
    seen_here = reverse("vehicle", args=[bela.workshop.slug, vehicle.pk])
    assert client_of(pim).get(seen_here).status_code == 404
    assert client_of(bela).get(seen_here).status_code == 200
