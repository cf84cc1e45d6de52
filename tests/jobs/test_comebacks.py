"""Returns: proposed by the rule, decided by a person, kept in step with what is known."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.models import Component
from jobs.comeback_rule import Done, Return, proposed
from jobs.models import CauseClass, Comeback, Complaint, Repair, RepairOrder
from jobs.queries import returns_page
from jobs.queries.returns_page import Wanted
from jobs.reports.queries.comebacks import HELD, classes
from jobs.reports.queries.comebacks import repairs as repairs_of
from jobs.reports.queries.kinds import names_of
from jobs.services import comebacks, repairs
from jobs.stages import Move
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash, Refusal
from shop.models import LogEntry, Platform, Workshop
from shop.services.workshop import WorkshopSettings, change_settings
from tests.asserts import refused, text_of
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, conclude_the_hub, go
from tests.jobs.reports.lives_made import a_life, vehicles
from tests.jobs.returned import a_done_job, a_return, hand_over, the_comeback

DAYS, METRES = 90, 5_000_000

# ------------------------------------------------------------------ the rule


def done(pk: int = 1, day: int = 100, at_m: int | None = 0, **of: int | None) -> Done:
    return Done(pk, day, at_m, of.get("component"), of.get("system"), of.get("said"))


def back(day: int = 120, at_m: int | None = 1_000, **of: int | None) -> Return:
    return Return(day, at_m, of.get("component"), of.get("system"))


def rule(came: Return, *earlier: Done) -> int | None:
    found = proposed(came, earlier, days=DAYS, metres=METRES)
    return found.pk if found else None


@pytest.mark.parametrize(
    ("came", "earlier", "found"),
    [
        (back(system=1), done(system=1), True),
        (back(system=1), done(system=2), False),
        (
            back(system=1),
            done(system=2, said=1),
            True,
        ),  # the same was said of it
        (back(system=3), done(system=2, said=1), False),
        (back(), done(), False),  # nothing said of either is no sameness
        (back(component=3, system=1), done(component=3, system=2), True),
        (back(day=190, system=1), done(system=1), True),  # the last day of the window
        (back(day=191, system=1), done(system=1), False),
        (back(day=100, system=1), done(system=1), True),  # the same day
        (back(day=99, system=1), done(system=1), False),  # before it left
        (back(at_m=5_000_000, system=1), done(system=1), True),
        (back(at_m=5_000_001, system=1), done(system=1), False),
        (back(at_m=None, system=1), done(system=1), True),  # a distance not known excludes nothing
        (back(at_m=10, system=1), done(at_m=9_000_000, system=1), True),  # went backwards
    ],
)
def test_the_window_holds_in_days_and_in_distance(came: Return, earlier: Done, found: bool) -> None:
    assert (rule(came, earlier) is not None) is found


def test_the_same_component_goes_before_the_same_system_and_the_latest_before_others() -> None:
    rows = [done(1, 40, component=3), done(2, 60, component=3), done(3, 90, system=1)]
    assert rule(back(component=3, system=1), *rows) == 2
    assert rule(back(system=1), *rows) == 3
    assert rule(back(component=4), *rows) is None


@given(st.permutations([done(1, 40, system=1), done(2, 90, system=1), done(3, 90, system=1)]))
def test_the_order_of_repairs_changes_nothing(rows: list[Done]) -> None:
    assert rule(back(system=1), *rows) == 3


# ------------------------------------------------------------------ kept in step


@pytest.mark.django_db
def test_a_return_is_proposed_as_the_vehicle_comes_and_counts_until_it_is_decided(
    crew: Crew,
) -> None:
    order = a_return(crew)
    found = the_comeback(order)
    assert found is not None
    assert (found.because, found.days, found.cause) == ("system", 20, "")
    assert found.metres == 1_000_000
    repair = Repair.objects.get(pk=found.repair_id)
    assert repair.back_day == clock.today().toordinal()


@pytest.mark.django_db
def test_the_same_trouble_is_a_return_also_where_another_system_was_repaired_for_it(
    crew: Crew,
) -> None:
    """The lamp of the brake control, a hub at the wheel end, and the lamp again a month later."""
    line = a_complaint_line(system="brake_control")
    with clock.at(clock.now() - timedelta(days=30)):
        before = a_repair_order(crew.manager, technician=crew.technician, complaints=[line])
        hand_over(crew, before)
    repair = Repair.objects.select_related("system").get(complaint__order=before)
    assert repair.system is not None
    assert repair.system.key == "wheel_ends"
    again = a_repair_order(
        crew.manager, vehicle=before.vehicle, technician=crew.technician, complaints=[line]
    )
    found = the_comeback(again)
    assert found is not None
    assert (found.repair_id, found.because, found.days) == (repair.pk, "system", 30)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "late", [{"days": 91}, {"odometer": "66000"}, {"system": "power_steering"}]
)
def test_outside_the_window_or_on_another_system_nothing_is_proposed(
    crew: Crew, late: dict[str, object]
) -> None:
    assert the_comeback(a_return(crew, **late)) is None  # type: ignore[arg-type]


@pytest.mark.django_db
def test_the_conclusion_may_make_it_the_same_component_after_all(crew: Crew) -> None:
    order = a_return(crew, system="")
    assert the_comeback(order) is None
    go(crew.technician, order, Move.BEGIN)
    conclude_the_hub(crew.technician, order.complaints.get())
    found = the_comeback(order)
    assert found is not None
    assert found.because == "component"


@pytest.mark.django_db
def test_a_void_job_is_no_return_and_leaves_none_behind(crew: Crew) -> None:
    order = a_return(crew)
    go(crew.manager, order, Move.VOID, reason="Written down twice")
    assert the_comeback(order) is None
    assert Repair.objects.get().back_day is None


@pytest.mark.django_db
def test_a_job_made_void_after_the_decision_is_nobodys_return(crew: Crew) -> None:
    order = a_return(crew)
    row = the_comeback(order)
    assert row is not None
    decide(crew.manager, row, "part")
    go(crew.manager, order, Move.VOID, reason="Written down twice")
    assert the_comeback(order) is not None
    assert Repair.objects.get().back_day is None
    assert not returns_page.returns(crew.manager, Wanted(cause="decided")).exists()
    assert classes(crew.manager, clock.today().replace(day=1), clock.today()).ever.total() == 0
    (held,) = repairs_of(crew.manager, clock.today()).groups
    assert (held.back, held.cause) == (None, HELD)


@pytest.mark.django_db
def test_what_was_declined_before_and_is_taken_up_now_is_no_return(crew: Crew) -> None:
    order = a_return(crew)
    before = Complaint.objects.exclude(order=order).get()
    order.complaints.update(again=before)
    comebacks.propose(order.vehicle)
    assert the_comeback(order) is None


@pytest.mark.django_db
def test_proposing_and_rebuilding_again_change_nothing(crew: Crew) -> None:
    order = a_return(crew)
    rows = list(Comeback.objects.values())
    comebacks.propose(order.vehicle)
    assert comebacks.rebuild(crew.manager.workshop) == 0
    assert repairs.rebuild(crew.manager.workshop) == 0
    assert list(Comeback.objects.values()) == rows


@pytest.mark.django_db
def test_a_narrower_window_takes_back_what_nobody_decided(crew: Crew) -> None:
    order = a_return(crew)
    Workshop.objects.update(comeback_days=10)
    crew.manager.workshop.refresh_from_db()
    assert comebacks.rebuild(crew.manager.workshop) == 1
    assert the_comeback(order) is None


# ------------------------------------------------------------------ decided


def decide(actor: Actor, found: Comeback, cause: str, reason: str = "Clip not seated") -> Comeback:
    found.refresh_from_db()
    return comebacks.decide(
        actor, act=uuid4(), comeback=found, revision=found.revision, cause=cause, reason=reason
    )


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    return a_return(crew)


@pytest.fixture
def found(order: RepairOrder) -> Comeback:
    row = the_comeback(order)
    assert row is not None
    return row


@pytest.mark.django_db
@pytest.mark.parametrize("cause", CauseClass.values)
def test_each_class_is_kept_and_only_some_count(crew: Crew, found: Comeback, cause: str) -> None:
    row = decide(crew.manager, found, cause)
    assert (row.cause, row.reason, row.decided_by) == (cause, "Clip not seated", crew.manager.user)
    counts = Repair.objects.get(pk=row.repair_id).back_day is not None
    assert counts is (cause not in ("not_ours", "unrelated"))


@pytest.mark.django_db
def test_a_decision_may_be_changed_and_the_story_keeps_both(crew: Crew, found: Comeback) -> None:
    decide(crew.manager, found, "unrelated")
    decide(crew.manager, found, "part", "The bearing hums again")
    told = LogEntry.objects.filter(kind="comeback").order_by("pk")
    assert ["unrelated" in line.words for line in told] == [True, True]
    assert "the part instead of unrelated" in told[1].words
    comebacks.propose(found.complaint.order.vehicle)
    found.refresh_from_db()
    assert found.cause == "part"


@pytest.mark.django_db
def test_two_who_decide_at_once_and_bad_input_get_a_sentence(crew: Crew, found: Comeback) -> None:
    first = found.revision
    decide(crew.manager, found, "part")
    with pytest.raises(Clash):
        comebacks.decide(
            crew.manager, act=uuid4(), comeback=found, revision=first, cause="part", reason="x"
        )
    for cause, reason, field in (("moon", "x", "cause"), ("part", "  ", "reason")):
        with refused(field=field):
            decide(crew.manager, found, cause, reason)
    with refused(field="reason"):
        decide(crew.manager, found, "part", "x" * 501)
    with pytest.raises(Refusal, match="service manager decides"):
        decide(crew.technician, found, "part")


@pytest.mark.django_db
def test_the_same_decision_sent_twice_is_recorded_once(crew: Crew, found: Comeback) -> None:
    act = uuid4()
    given = {"act": act, "comeback": found, "revision": 1, "cause": "part", "reason": "Hums"}
    comebacks.decide(crew.manager, **given)  # type: ignore[arg-type]
    with pytest.raises(AlreadyDone):
        comebacks.decide(crew.manager, **given)  # type: ignore[arg-type]
    assert Comeback.objects.get().revision == 2


# ------------------------------------------------------------------ by hand


def put_in(crew: Crew, order: RepairOrder, repair: Repair) -> Comeback:
    complaint = order.complaints.get()
    return comebacks.put_in(
        crew.manager, act=uuid4(), complaint=complaint, repair=repair, reason="Same noise"
    )


@pytest.mark.django_db
def test_a_return_after_the_window_can_be_put_in_and_taken_back(crew: Crew) -> None:
    order = a_return(crew, days=120)
    row = put_in(crew, order, Repair.objects.get())
    assert (row.because, row.days) == ("by_hand", 120)
    assert Repair.objects.get().back_day is not None
    assert comebacks.rebuild(crew.manager.workshop) == 0
    with pytest.raises(Refusal, match="stands as a return already"):
        put_in(crew, order, Repair.objects.get())
    comebacks.withdraw(
        crew.manager, act=uuid4(), comeback=row, revision=row.revision, reason="Another noise"
    )
    assert the_comeback(order) is None
    assert Repair.objects.get().back_day is None


@pytest.mark.django_db
def test_only_an_earlier_repair_of_the_same_vehicle_is_chosen(crew: Crew) -> None:
    order = a_return(crew, days=120)
    other = a_done_job(crew, on=clock.now() - timedelta(days=30))
    with refused(field="repair"):
        put_in(crew, order, Repair.objects.get(complaint__order=other))
    later = a_repair_order(crew.manager, vehicle=other.vehicle, odometer="62000")
    before = RepairOrder.objects.exclude(pk__in=[order.pk, other.pk, later.pk]).get()
    with refused(field="repair"):
        put_in(crew, before, Repair.objects.get(complaint__order=before))


@pytest.mark.django_db
def test_what_the_rule_proposed_is_decided_and_not_taken_back(crew: Crew, found: Comeback) -> None:
    with pytest.raises(Refusal, match="Decide on it"):
        comebacks.withdraw(
            crew.manager, act=uuid4(), comeback=found, revision=found.revision, reason="No"
        )


# ------------------------------------------------------------------ pages


@pytest.mark.django_db
def test_the_page_leads_from_the_list_to_the_decision(crew: Crew, found: Comeback) -> None:
    web, slug = client_of(crew.manager), crew.manager.workshop.slug
    listed = web.get(reverse("returns", args=[slug]))
    assert "It is on again" in text_of(listed)
    assert "1 return to decide" in text_of(web.get(reverse("desk", args=[slug])))
    order = found.complaint.order
    job = text_of(web.get(reverse("order", args=[slug, order.number])))
    assert "may be a comeback" in job
    assert "and 1000 km on: the same system" in job.replace("\u00a0", " ")
    url = reverse("return", args=[slug, found.pk])
    assert "Something else was at fault" in text_of(web.get(url))
    bad = web.post(url, {"act": uuid4(), "revision": 1, "cause": "part", "reason": ""})
    assert "Fill this in." in text_of(bad)
    sent = {"act": uuid4(), "revision": 1, "cause": "part", "reason": "Hums again"}
    assert web.post(url, sent).status_code == 303
    assert "Nothing waits" in text_of(web.get(reverse("returns", args=[slug])))
    decided = text_of(web.get(reverse("returns", args=[slug]), {"cause": "decided"}))
    assert "Hums again" in decided


@pytest.mark.django_db
def test_a_page_from_before_a_decision_keeps_what_was_typed(crew: Crew, found: Comeback) -> None:
    web, slug = client_of(crew.manager), crew.manager.workshop.slug
    decide(crew.manager, found, "part")
    url = reverse("return", args=[slug, found.pk])
    sent = {"act": uuid4(), "revision": 1, "cause": "unrelated", "reason": "Only a fuse"}
    page = text_of(web.post(url, sent))
    assert "meanwhile" in page
    assert "Only a fuse" in page
    assert web.post(url, sent | {"act": uuid4(), "revision": 2}).status_code == 303


@pytest.mark.django_db
@pytest.mark.parametrize(
    "asked",
    [
        *({"cause": "moon"}, {"technician": "x"}, {"month": "2026-13"}, {"month": "0001-01"}),
        *({"until": "soon"}, {"until": "2026-02-30"}),
    ],
)
def test_a_list_asked_for_what_cannot_be_is_not_there(crew: Crew, asked: dict[str, str]) -> None:
    url = reverse("returns", args=[crew.manager.workshop.slug])
    assert client_of(crew.manager).get(url, asked).status_code == 404


@pytest.mark.django_db
def test_the_list_is_narrowed_by_class_kind_supplier_technician_and_month(
    crew: Crew, found: Comeback
) -> None:
    web, slug = client_of(crew.manager), crew.manager.workshop.slug
    repair = found.repair
    assert repair.component is not None
    hits = (
        {"cause": "none"},
        {"kind": repair.component.key},
        {"supplier": repair.supplier},
        {"technician": str(repair.technician_id)},
        {"month": f"{clock.today():%Y-%m}"},
    )
    for asked in hits:
        assert "It is on again" in text_of(web.get(reverse("returns", args=[slug]), asked)), asked
    day = clock.today()
    for cause in ("counted", "work", "diagnosis", "parts", ""):
        asked = {"cause": cause, "supplier": repair.supplier, "until": f"{day}"}
        assert "It is on again" in text_of(web.get(reverse("returns", args=[slug]), asked)), asked
    decide(crew.manager, found, "not_ours")
    for cause, there in (
        ("counted", False),
        ("work", False),
        ("diagnosis", False),
        ("parts", False),
        ("decided", True),
    ):
        page = text_of(web.get(reverse("returns", args=[slug]), {"cause": cause}))
        assert ("It is on again" in page) is there, cause
    misses = (
        {"cause": "decided", "until": f"{day - timedelta(days=1)}"},
        {"cause": "part"},
        {"kind": "pump"},
        {"supplier": "Nobody"},
        {"month": "2020-01"},
    )
    for asked in misses:
        page = text_of(web.get(reverse("returns", args=[slug]), asked))
        assert "It is on again" not in page, asked


@pytest.mark.django_db
@pytest.mark.parametrize("other_name", ["Hub", "Rear wheel hub with its speed sensor, long"])
def test_a_kind_of_two_names_is_offered_once_under_the_one_the_reports_use(
    crew: Crew, found: Comeback, other_name: str
) -> None:
    """Whichever of the two names is the longer, the shorter one is what they have in common."""
    own = found.repair.component
    assert own is not None
    platform = Platform.objects.create(code="PX9", make="Corvane", model="Merle")
    other = Component.objects.create(
        platform=platform, system=own.system, key=own.key, name=other_name
    )
    second = a_return(crew)
    Repair.objects.filter(pk=the_comeback(second).repair_id).update(component=other)  # type: ignore[union-attr]
    (car,) = vehicles(crew.manager, 1, platform)
    day = clock.today().toordinal()
    a_life(car, other, in_day=day - 9, out_day=day).save()
    shared = min(own.name, other_name, key=len)
    asked = {"cause": "none", "kind": own.key}
    page = client_of(crew.manager).get(reverse("returns", args=[crew.manager.workshop.slug]), asked)
    offered = re.findall(rf'<option value="{own.key}"( selected)?>([^<]*)<', page.content.decode())
    assert offered == [(" selected", shared)]
    assert names_of(crew.manager)[own.key] == shared
    assert text_of(page).count("It is on again") == 2, "it narrows to both platforms’"


@pytest.mark.django_db
def test_one_is_put_in_from_the_job(crew: Crew) -> None:
    order = a_return(crew, days=120)
    web, slug = client_of(crew.manager), crew.manager.workshop.slug
    url = reverse("return-put-in", args=[slug, order.number, 1])
    assert "Which repair" in text_of(web.get(url))
    sent = {"act": uuid4(), "repair": Repair.objects.get().pk, "reason": "Same noise"}
    assert web.post(url, sent).status_code == 303
    assert the_comeback(order) is not None


@pytest.mark.django_db
def test_released_again_the_return_is_a_repair_of_its_own(crew: Crew, order: RepairOrder) -> None:
    hand_over(crew, order)
    assert Repair.objects.filter(complaint__order=order).count() == 1
    again = a_repair_order(
        crew.manager,
        vehicle=order.vehicle,
        odometer="61500",
        complaints=[a_complaint_line(system="wheel_ends")],
    )
    row = the_comeback(again)
    assert row is not None
    assert row.repair.complaint.order == order
    assert row.days == 0


@pytest.mark.django_db
def test_another_window_proposes_anew_what_nobody_decided(crew: Crew, vera: Actor) -> None:
    order = a_return(crew, days=91)
    assert the_comeback(order) is None
    for days, there in ((100, True), (30, False)):
        workshop = vera.workshop
        now = {name: getattr(workshop, name) for name in WorkshopSettings.__slots__}
        settings = WorkshopSettings(**(now | {"comeback_days": days}))
        change_settings(vera, act=uuid4(), settings=settings)
        assert (the_comeback(order) is not None) is there
        assert Repair.objects.order_by("pk")[0].back_day == (
            clock.today().toordinal() if there else None
        )
