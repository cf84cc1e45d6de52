"""Who works on a job, in which bay, for when it is promised."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from django.urls import reverse
from django.utils.timezone import localtime

from jobs.models import RepairOrder
from jobs.services import assignment
from shop import clock
from shop.actor import Actor
from shop.models import Bay
from shop.queries.log import story
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order


def assign(actor: Actor, order: RepairOrder, technician: Actor | None, **changed: object) -> None:
    given: dict[str, object] = {"bay": order.bay, "promised_at": order.promised_at} | changed
    assignment.assign(
        actor,
        order,
        act=uuid4(),
        revision=order.revision,
        technician=technician.user if technician else None,
        **given,  # type: ignore[arg-type]
    )


def test_the_manager_gives_a_job_to_a_technician_and_a_bay(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(bela)
    bay = Bay.objects.get(name="Bay 2")
    assign(bela, order, ines, bay=bay, promised_at=clock.now() + timedelta(hours=3))
    order.refresh_from_db()
    assert (order.technician, order.bay) == (ines.user, bay)
    last = story(bela, "order", order.pk).last()
    assert last is not None
    assert last.words.startswith("gave the job to Ines R.; put it in Bay 2; promised it for")


def test_it_refuses_somebody_who_is_no_technician_here_and_takes_one(
    bela: Actor, nuri: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela)
    with refused(field="technician", says="Nuri A. is not a technician"):
        assign(bela, order, nuri)
    assign(bela, order, ines)
    assert order.technician == ines.user


def test_it_refuses_the_bay_of_another_workshop_and_takes_our_own(
    bela: Actor, pim: Actor, ines: Actor
) -> None:
    order = a_repair_order(bela)
    theirs = Bay.objects.create(workshop=pim.workshop, name="Bay 1")
    with refused(field="bay"):
        assign(bela, order, ines, bay=theirs)
    assign(bela, order, ines, bay=Bay.objects.get(workshop=bela.workshop, name="Bay 1"))


def test_it_refuses_a_technician_who_takes_a_job_themselves(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(bela)
    with refused(says="Only the service manager gives a job"):
        assign(ines, order, ines)
    assign(bela, order, ines)


def test_a_second_desk_that_saw_an_older_job_is_told_and_keeps_what_it_typed(
    bela: Actor, ines: Actor, tomas: Actor
) -> None:
    order = a_repair_order(bela)
    seen = order.revision
    assign(bela, order, ines)
    address = reverse("order-assign", args=["quay-street", order.number])
    typed = {"act": uuid4(), "revision": seen, "technician": tomas.user.pk, "bay": ""}
    told = client_of(bela).post(address, typed, headers={"HX-Request": "true"})
    assert told.status_code == 200
    assert "Somebody changed this job meanwhile" in text_of(told)
    assert f'value="{tomas.user.pk}" selected' in text_of(told)
    assert "Ines R." in text_of(told)
    again = typed | {"revision": order.revision}
    assert client_of(bela).post(address, again).status_code == 303
    order.refresh_from_db()
    assert order.technician == tomas.user


def test_a_time_that_is_none_is_refused_beside_its_field_and_a_time_is_kept(bela: Actor) -> None:
    order = a_repair_order(bela)
    address = reverse("order-assign", args=["quay-street", order.number])
    typed = {"act": uuid4(), "revision": order.revision, "promised_at": "half past four"}
    told = client_of(bela).post(address, typed)
    assert "Write a date and a time" in text_of(told)
    assert "half past four" in text_of(told)
    typed["promised_at"] = "2026-05-04T16:30"
    assert client_of(bela).post(address, typed).status_code == 303
    order.refresh_from_db()
    assert order.promised_at is not None
    assert f"{localtime(order.promised_at):%Y-%m-%d %H:%M}" == "2026-05-04 16:30"
