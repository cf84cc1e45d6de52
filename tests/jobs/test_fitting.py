"""One unit off, one unit on, and the vehicle's memory of both."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db.models import QuerySet

from jobs.models import FittedUnit, RepairOrder, Replacement
from jobs.queries.fitting import cautions_were_read
from jobs.services import fitting
from jobs.stages import Stage
from shop import clock
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to

State = Replacement.State


def a_job_to_fit(crew: Crew, **more: object) -> Replacement:
    order = a_repair_order(crew.manager, technician=crew.technician, **more)  # type: ignore[arg-type]
    bring_to(Stage.REPAIRING, order, crew)
    found: Replacement = Replacement.objects.select_related("complaint__order__vehicle").get(
        complaint__order=order
    )
    return found


@pytest.fixture
def hub(crew: Crew) -> Replacement:
    return a_job_to_fit(crew)


def read_cautions(crew: Crew, row: Replacement) -> None:
    fitting.acknowledge(crew.technician, act=uuid4(), order=row.complaint.order)


def fit(crew: Crew, row: Replacement, **more: object) -> Replacement:
    said: dict[str, object] = {"act": uuid4(), "replacement": row}
    return fitting.fit(crew.technician, **(said | more))  # type: ignore[arg-type]


def units_at_the_place_of(row: Replacement) -> QuerySet[FittedUnit]:
    return FittedUnit.objects.filter(
        vehicle=row.complaint.order.vehicle, component=row.component, position=row.position
    )


def test_the_cautions_are_read_before_anything_is_fitted(crew: Crew, hub: Replacement) -> None:
    with refused(says="Read the cautions"):
        fit(crew, hub)
    read_cautions(crew, hub)
    said = LogEntry.objects.latest("pk")
    assert said.words == "read the cautions before fitting"
    assert "Brake dust" in said.reason
    assert fit(crew, hub).state == State.FITTED


def test_each_fitter_reads_them_for_themselves(crew: Crew, hub: Replacement) -> None:
    read_cautions(crew, hub)
    order = hub.complaint.order
    assert cautions_were_read(crew.technician, order)
    assert not cautions_were_read(crew.manager, order)


def test_the_unit_taken_off_is_first_seen_here_and_failed_as_concluded(
    crew: Crew, hub: Replacement
) -> None:
    read_cautions(crew, hub)
    row = fit(crew, hub, serial_off="hs20-1", serial_on="hs24-2")
    off, on = row.unit_off, row.unit_on
    assert off is not None
    assert on is not None
    first = hub.complaint.order.odometer_in
    assert (off.entry, off.entered_at_m) == (FittedUnit.Entry.FIRST_SEEN, first.distance_m)
    assert (off.exit, off.left_on, off.serial_number) == (
        FittedUnit.Exit.FAILED,
        clock.today(),
        "HS20-1",
    )
    conclusion = hub.complaint.conclusion
    assert conclusion is not None
    assert off.failure_mode == conclusion.failure_mode
    assert (on.entry, on.entered_on, on.serial_number) == (
        FittedUnit.Entry.FITTED,
        clock.today(),
        "HS24-2",
    )
    assert (on.part_number, on.supplier, on.left_on) == ("PL2-20-214", "Ostrel", None)


def test_a_unit_that_was_not_concluded_left_for_another_reason(crew: Crew) -> None:
    row = a_job_to_fit(crew)
    Replacement.objects.filter(pk=row.pk).update(position="RR")
    row.refresh_from_db()
    read_cautions(crew, row)
    off = fit(crew, row).unit_off
    assert off is not None
    assert (off.exit, off.failure_mode) == (FittedUnit.Exit.OTHER, None)


def test_the_unit_put_on_last_time_is_the_one_taken_off_this_time(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    with clock.at(clock.now() - timedelta(days=40)):
        first = a_job_to_fit(crew, vehicle=vehicle, odometer="60000")
        read_cautions(crew, first)
        put_on = fit(crew, first, serial_on="HS24-2").unit_on
    second = a_job_to_fit(crew, vehicle=vehicle, odometer="61000")
    read_cautions(crew, second)
    taken_off = fit(crew, second, serial_off="HS24-2", serial_on="HS24-9").unit_off
    assert put_on == taken_off
    assert taken_off is not None
    assert taken_off.left_at_m is not None
    assert taken_off.left_at_m - taken_off.entered_at_m == 1_000_000
    there = FittedUnit.objects.filter(vehicle=vehicle, component=second.component, position="LR")
    assert there.filter(left_on__isnull=True).count() == 1


def test_it_questions_a_serial_number_that_is_not_the_one_on_record(crew: Crew) -> None:
    vehicle = a_vehicle(crew.manager)
    first = a_job_to_fit(crew, vehicle=vehicle)
    read_cautions(crew, first)
    fit(crew, first, serial_on="HS24-2")
    second = a_job_to_fit(crew, vehicle=vehicle)
    read_cautions(crew, second)
    with refused(field="serial_off", says="HS24-2"):
        fit(crew, second, serial_off="HS99-9", serial_on="HS24-9")
    row = fit(crew, second, serial_off="HS99-9", serial_on="HS24-9", serial_differs=True)
    assert row.unit_off is not None
    assert row.unit_off.serial_number == "HS99-9"


def test_it_refuses_the_same_label_scanned_twice_or_one_fitted_elsewhere(crew: Crew) -> None:
    first, second = a_job_to_fit(crew), a_job_to_fit(crew)
    read_cautions(crew, first)
    read_cautions(crew, second)
    with refused(field="serial_on", says="Scan both again"):
        fit(crew, first, serial_off="HS24-2", serial_on="hs24-2 ")
    fit(crew, first, serial_on="HS24-2")
    with refused(field="serial_on", says="on record as fitted to"):
        fit(crew, second, serial_on="HS24-2")
    assert fit(crew, second, serial_on="HS24-3").state == State.FITTED


def test_a_number_that_grows_in_capitals_is_refused_and_the_longest_taken(
    crew: Crew, hub: Replacement
) -> None:
    read_cautions(crew, hub)
    with refused(field="serial_on", says="At most 60"):
        fit(crew, hub, serial_on="ß" * 31)
    with refused(field="part_number_on", says="At most 40"):
        fit(crew, hub, serial_on="HS24-2", part_number_on="ß" * 21)
    with refused(field="batch_on", says="At most 40"):
        fit(crew, hub, serial_on="HS24-2", batch_on="ß" * 21)
    assert fit(crew, hub, serial_on="ß" * 30).state == State.FITTED


def test_it_refuses_what_has_not_come_or_is_fitted_already(crew: Crew, hub: Replacement) -> None:
    read_cautions(crew, hub)
    Replacement.objects.filter(pk=hub.pk).update(state=State.ORDERED)
    with pytest.raises(Clash, match="is ordered"):
        fit(crew, hub)
    Replacement.objects.filter(pk=hub.pk).update(state=State.RECEIVED)
    fit(crew, hub)
    with pytest.raises(Clash, match="is fitted"):
        fit(crew, hub)
    assert units_at_the_place_of(hub).count() == 2


def test_it_refuses_while_the_job_is_not_at_the_bay(crew: Crew, hub: Replacement) -> None:
    read_cautions(crew, hub)
    RepairOrder.objects.filter(pk=hub.complaint.order_id).update(stage=Stage.AWAITING_ASSEMBLY)
    with refused(says="while it is repairing"):
        fit(crew, hub)
    RepairOrder.objects.filter(pk=hub.complaint.order_id).update(stage=Stage.REPAIRING)
    assert fit(crew, hub).state == State.FITTED


def test_only_a_technician_records_it(crew: Crew, hub: Replacement) -> None:
    read_cautions(crew, hub)
    with refused(says="Only a technician"):
        fitting.fit(crew.manager, act=uuid4(), replacement=hub)
    assert fit(crew, hub).fitted_by == crew.technician.user


def test_a_double_tap_fits_once(crew: Crew, hub: Replacement) -> None:
    read_cautions(crew, hub)
    act = uuid4()
    fit(crew, hub, act=act)
    with pytest.raises(AlreadyDone):
        fit(crew, hub, act=act)
    assert units_at_the_place_of(hub).count() == 2
