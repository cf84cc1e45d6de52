"""A job taken along its stages, by the services and the people whose move each one is.

`bring_to(stage, order, crew)` does everything that lies before that stage; `prove(...)` does the
proving but for what is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import timedelta
from uuid import uuid4

import pytest

from diagnostics.models import Component, Quantity
from diagnostics.services import flags, lamps, readings
from diagnostics.services.conclusions import Finding
from diagnostics.services.flags import FlagInput
from diagnostics.services.readings import ReadingInput
from diagnostics.telltales import Lamp, Observation, Shown, Situation
from jobs.models import Complaint, How, RepairOrder, Replacement
from jobs.services import (
    authority,
    complaints,
    conclusions,
    estimate,
    fitting,
    moves,
    parts,
    proving,
)
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor

MODULE = "brake control"
NORMAL = (
    Observation(Lamp.AMBER_ANTILOCK, Situation.KEY_ON, Shown.STEADY),
    Observation(Lamp.AMBER_ANTILOCK, Situation.ENGINE_RUNNING, Shown.DARK),
    Observation(Lamp.RED_BRAKE, Situation.ENGINE_RUNNING, Shown.DARK),
)
RED_AND_AMBER = (
    Observation(Lamp.AMBER_ANTILOCK, Situation.ENGINE_RUNNING, Shown.STEADY),
    Observation(Lamp.RED_BRAKE, Situation.ENGINE_RUNNING, Shown.STEADY),
)


@dataclass(frozen=True)
class Crew:
    technician: Actor
    manager: Actor
    counter: Actor


@pytest.fixture
def crew(ines: Actor, bela: Actor, nuri: Actor) -> Crew:
    return Crew(ines, bela, nuri)


def the_hub(order: RepairOrder) -> Component:
    return Component.objects.get(platform=order.vehicle.platform, key="hub_and_sensor")


def take_reading(actor: Actor, order: RepairOrder, value: str = "1.39", unit: str = "kohm") -> None:
    """The resistance of the left rear sensor."""
    taken = ReadingInput(
        quantity=Quantity.objects.get(key="sensor_resistance"),
        value=value,
        unit=unit,
        component=the_hub(order),
        position="LR",
        temperature="20",
    )
    order.session.refresh_from_db()
    readings.record(actor, order.session, act=uuid4(), taken=taken)


def read_flags(actor: Actor, order: RepairOrder, *codes: str) -> None:
    order.session.refresh_from_db()
    flags.record_read(
        actor,
        order.session,
        act=uuid4(),
        module=MODULE,
        flags=[FlagInput(code) for code in codes],
        none_stored=not codes,
    )


def look_at_lamps(actor: Actor, order: RepairOrder, seen: tuple[Observation, ...] = NORMAL) -> None:
    order.session.refresh_from_db()
    lamps.record(actor, order.session, act=uuid4(), observations=seen)


def go(actor: Actor, order: RepairOrder, move: Move, reason: str = "") -> None:
    order.refresh_from_db()
    moves.move(actor, order, move, act=uuid4(), revision=order.revision, reason=reason)


def conclude_the_hub(actor: Actor, complaint: Complaint) -> None:
    order = complaint.order
    hub = the_hub(order)
    mode = hub.failure_modes.first()
    found = order.session.readings.order_by("pk").first()
    conclusions.conclude(
        actor,
        complaint,
        act=uuid4(),
        finding=Finding(component=hub, position="LR", failure_mode=mode),
        evidence=[f"reading:{found.pk}"] if found else [],
        without_evidence=found is None,
        replaces=complaint.conclusion_id,
    )


def drive(actor: Actor, order: RepairOrder, distance: str = "8", speed: str = "70") -> None:
    proving.record_road_test(
        actor,
        order,
        act=uuid4(),
        distance=distance,
        distance_unit="km",
        top_speed=speed,
        speed_unit="km/h",
    )


def clear_flags(actor: Actor, order: RepairOrder) -> None:
    order.session.refresh_from_db()
    flags.clear(actor, order.session, act=uuid4(), module=MODULE)


def write_correction(actor: Actor, order: RepairOrder) -> None:
    for complaint in order.complaints.all():
        complaints.correct(actor, complaint, act=uuid4(), text="Hub and sensor assembly replaced")


PROOFS: dict[str, Callable[[Actor, RepairOrder], None]] = {
    "clearing": clear_flags,
    "road test": drive,
    "lamps": look_at_lamps,
    "flags": read_flags,
    "reading": take_reading,
    "correction": write_correction,
}


def prove(crew: Crew, order: RepairOrder, *, but_for: Collection[str] = ()) -> None:
    for name, do in PROOFS.items():
        if name not in but_for:
            do(crew.technician, order)


def _begin(crew: Crew, order: RepairOrder) -> None:
    go(crew.technician, order, Move.BEGIN)


def _diagnose(crew: Crew, order: RepairOrder) -> None:
    read_flags(crew.technician, order, "C0045")
    take_reading(crew.technician, order, "OL")
    for complaint in order.complaints.all():
        conclude_the_hub(crew.technician, complaint)
    first = order.complaints.order_by("line").first()
    assert first is not None
    estimate.accept_proposal(crew.technician, act=uuid4(), complaint=first)
    go(crew.technician, order, Move.ASK_AUTHORITY)


def give_estimate(crew: Crew, order: RepairOrder) -> None:
    estimate.give(
        crew.manager,
        act=uuid4(),
        order=order,
        given_to="Ada W.",
        how=How.PHONE,
        contact="555 0123",
    )


def answer(crew: Crew, order: RepairOrder, decision: str = "authorised") -> None:
    order.refresh_from_db()
    authority.record(
        crew.manager,
        act=uuid4(),
        order=order,
        revision=order.revision,
        who="Ada W.",
        how=How.PHONE,
        contact="555 0123",
        answered_at=clock.now(),
        decisions={complaint.pk: decision for complaint in order.complaints.all()},
    )


def _authorise(crew: Crew, order: RepairOrder) -> None:
    give_estimate(crew, order)
    answer(crew, order)


def _bring_parts(crew: Crew, order: RepairOrder) -> None:
    keys = [part.pk for part in Replacement.objects.filter(complaint__order=order)]
    parts.order(
        crew.counter,
        act=uuid4(),
        replacements=keys,
        reference="A 17",
        expected_on=clock.today() + timedelta(days=1),
    )
    parts.receive(crew.counter, act=uuid4(), replacements=keys, hand_over=True)


def _fit(crew: Crew, order: RepairOrder) -> None:
    fitting.acknowledge(crew.technician, act=uuid4(), order=order)
    for part in Replacement.objects.filter(complaint__order=order):
        fitting.fit(crew.technician, act=uuid4(), replacement=part)
    order.refresh_from_db()
    if Stage(order.stage) is Stage.REPAIRING:
        go(crew.technician, order, Move.ALL_FITTED)


def _prove(crew: Crew, order: RepairOrder) -> None:
    prove(crew, order)
    go(crew.technician, order, Move.PROVED)


_WAY: tuple[tuple[Stage, Callable[[Crew, RepairOrder], None]], ...] = (
    (Stage.RECEIVED, _begin),
    (Stage.DIAGNOSING, _diagnose),
    (Stage.AWAITING_AUTHORITY, _authorise),
    (Stage.AWAITING_ASSEMBLY, _bring_parts),
    (Stage.REPAIRING, _fit),
    (Stage.PROVING, _prove),
)


def bring_to(stage: Stage, order: RepairOrder, crew: Crew) -> RepairOrder:
    """Take a received job on until it stands at `stage` (received up to ready, or declined)."""
    for here, do in _WAY:
        if here is stage:
            break
        if stage is Stage.DECLINED and here is Stage.AWAITING_AUTHORITY:
            give_estimate(crew, order)
            answer(crew, order, "declined")
            break
        do(crew, order)
        order.refresh_from_db()
    order.refresh_from_db()
    assert Stage(order.stage) is stage, (order.stage, stage)
    return order
