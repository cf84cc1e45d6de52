"""The demo world: made once here, on an empty database, on a Wednesday at twenty past ten."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from io import StringIO
from itertools import pairwise

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.test import Client
from pytest_django import DjangoDbBlocker

from diagnostics.models import ProcedureRun, Reading, StoredFlag
from jobs.models import (
    Claim,
    ClockEntry,
    Comeback,
    Complaint,
    Estimate,
    FittedUnit,
    HeldPart,
    Invoice,
    LabourLine,
    OtherLine,
    Payment,
    PaymentRow,
    Repair,
    RepairOrder,
    Replacement,
    StockItem,
    StockMovement,
    SupplyLine,
    SupplyOrder,
    SupplyReceipt,
    SupplyReturn,
)
from jobs.queries.coverage import pictures
from jobs.queries.facts import facts_for
from jobs.queries.proof import proofs_for
from jobs.release_rules import missing_for_release
from jobs.services import rebuilt
from jobs.stages import Stage
from jobs.whose_move import Whose, awaited
from shop import clock
from shop.models import LogEntry, OdometerReading, User, Vehicle, Workshop
from shop.roles import Role
from shop.vin import check_vin
from tests.jobs.demo_made import NOW, ZONE, undone

PASSWORD = "slow-barge-lamp-7"


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """The demo world, made once for this file; what the command printed."""
    said = StringIO()
    with undone(django_db_blocker):
        with clock.at(NOW):
            call_command("demo", password=PASSWORD, history=0, stdout=said)
        yield said.getvalue()


@pytest.fixture
def world(told: str, db: None) -> str:
    return told


def jobs_open_at(slug: str) -> list[RepairOrder]:
    rows = RepairOrder.objects.filter(workshop__slug=slug, closed_at=None)
    return list(rows.select_related("vehicle__platform", "technician").order_by("serial"))


def the_job(plate: str) -> RepairOrder:
    return RepairOrder.objects.get(vehicle__plate=plate, closed_at=None)


# ------------------------------------------------------------- the morning


def test_eight_jobs_stand_open_in_eight_stages_on_four_platforms(world: str) -> None:
    jobs = jobs_open_at("quay-street")
    assert len(jobs) == 8
    assert {job.stage for job in jobs} == {
        "received",
        "diagnosing",
        "awaiting_authority",
        "awaiting_assembly",
        "repairing",
        "proving",
        "ready",
        "declined",
    }
    # The coupe's pages are the saloon's with one sensor more: one platform of the four.
    families = {job.vehicle.platform.code.split("-")[0] for job in jobs if job.vehicle.platform}
    assert families == {"PL2", "PL4", "OR1", "DR3"}


@pytest.mark.parametrize("slug", ["quay-street", "millrace"])
def test_every_home_page_has_something_to_do(world: str, slug: str) -> None:
    jobs = jobs_open_at(slug)
    facts = facts_for(jobs)
    whose = {awaited(Stage(job.stage), facts[job.pk]).whose for job in jobs}
    assert {Whose.DESK, Whose.BAY, Whose.COUNTER} <= whose
    assert RepairOrder.objects.filter(workshop__slug=slug, stage="released").count() > 10


def test_two_jobs_must_not_be_driven_and_some_are_overdue(world: str) -> None:
    jobs = jobs_open_at("quay-street")
    assert sorted(job.vehicle.plate for job in jobs if job.unsafe) == ["4HB 0072", "5RW 1183"]
    overdue = [job for job in jobs if job.promised_at and job.promised_at < NOW]
    assert 2 <= len(overdue) <= 4


def test_the_job_of_the_readme_waits_at_the_resistance_step(world: str) -> None:
    job = the_job("7KD 3318")
    assert (job.number, job.stage) == ("Q3042", "diagnosing")
    assert str(job.technician) == "Ines R."
    assert job.complaints.get().words == (
        "Yellow light came on after the car wash and won't go off."
    )
    flag = StoredFlag.objects.get(read__session=job.session_id)
    assert (flag.code, flag.status, flag.lamp_requested) == ("C0045", "present_now", True)
    run = ProcedureRun.objects.get(session=job.session_id, finished_at=None)
    assert run.current is not None
    assert (run.current.key, run.corner) == ("resistance", "LR")
    check = job.session.lampchecks.get()
    assert (check.unsafe, check.normal) == (False, False)


def test_nothing_has_happened_after_the_moment_of_the_load(world: str) -> None:
    assert not LogEntry.objects.filter(at__gt=NOW).exists()
    assert not Reading.objects.filter(at__gt=NOW).exists()
    assert not OdometerReading.objects.filter(read_at__gt=NOW).exists()


# ------------------------------------------------------------- the history


def test_every_closed_job_was_proved_or_says_why_not(world: str) -> None:
    closed = list(RepairOrder.objects.filter(stage="released"))
    proofs = proofs_for(closed)
    unproved = {job.vehicle.plate for job in closed if missing_for_release(proofs[job.pk])}
    overridden = {job.vehicle.plate for job in closed if job.override_reason}
    left = {job.vehicle.plate for job in closed if job.moves.filter(source="declined").exists()}
    assert (overridden, left) == ({"7PR 1096"}, {"5XM 5571"})
    assert unproved == overridden | left


def test_order_numbers_follow_the_days_without_a_gap(world: str) -> None:
    for prefix, newest in (("Q", 3042), ("M", 1418)):
        orders = RepairOrder.objects.filter(number__startswith=prefix).order_by("serial")
        serials = [order.serial for order in orders]
        assert serials == list(range(newest - len(serials) + 1, newest + 1))
        days = [order.taken_in_at for order in orders]
        assert days == sorted(days)


def test_no_unit_is_at_two_places_and_every_unit_taken_off_left_for_a_reason(world: str) -> None:
    fitted = Replacement.objects.filter(state="fitted").select_related("unit_off", "unit_on")
    assert fitted.count() > 50
    for row in fitted:
        assert row.unit_off is not None
        assert row.unit_on is not None
        assert row.unit_off.left_on == row.unit_on.entered_on
    serials = FittedUnit.objects.exclude(serial_number="").filter(left_on=None)
    numbers = list(serials.values_list("component", "serial_number"))
    assert len(numbers) == len(set(numbers))


def test_one_batch_of_hub_assemblies_fails_early(world: str) -> None:
    batch = FittedUnit.objects.filter(serial_number__startswith="OS2441")
    failed = batch.filter(exit="failed")
    assert (batch.count(), failed.count()) == (6, 4)
    for unit in failed:
        assert unit.left_on is not None
        assert (unit.left_on - unit.entered_on).days < 130


def test_every_unit_with_a_serial_number_that_was_fitted_here_carries_its_batch(world: str) -> None:
    fitted = FittedUnit.objects.filter(entry="fitted").exclude(serial_number="")
    assert fitted.count() > 40
    assert all(unit.batch and unit.serial_number.startswith(unit.batch) for unit in fitted)
    assert FittedUnit.objects.filter(batch="OS2441", supplier="Ostrel").count() == 6


def test_returns_are_decided_but_for_the_youngest(world: str) -> None:
    rows = Comeback.objects.select_related("complaint__order__vehicle")
    by_plate = {row.complaint.order.vehicle.plate: row for row in rows}
    assert {plate: row.cause for plate, row in by_plate.items()} == {
        "6VE 5046": "part",
        "8TB 3902": "part",
        "2GX 7144": "part",
        "4WP 2216": "wrong_diagnosis",
        "1LK 5270": "",
    }
    back = by_plate["4WP 2216"]
    assert back.decided_at is not None
    assert back.decided_at > back.complaint.order.stage_since
    # Back within the week for something else: nothing was proposed, and nothing counts.
    assert not Repair.objects.exclude(back_day=None).filter(vehicle__plate="6QS 7408").exists()


@pytest.mark.parametrize("slug", ["quay-street", "millrace"])
def test_lives_repairs_and_returns_are_as_they_follow_from_the_jobs(world: str, slug: str) -> None:
    assert rebuilt.differences(Workshop.objects.get(slug=slug)) == []


def test_a_modulator_was_replaced_twice_before_its_ground_was_measured(world: str) -> None:
    orders = RepairOrder.objects.filter(vehicle__plate="4WP 2216").order_by("serial")
    assert Replacement.objects.filter(complaint__order__in=orders, state="fitted").count() == 2
    first, second = (order.complaints.get().conclusion for order in orders)
    assert first is not None
    assert second is not None
    assert (str(first.component), first.evidenced) == ("Motor-driven pressure modulator", False)
    assert str(second.failure_mode) == "Ground point at too high a resistance"
    assert second.replaces is not None
    assert second.evidence.filter(reading__quantity__key="ground_drop").exists()


def test_an_odd_tyre_was_found_before_a_sensor_was_blamed(world: str) -> None:
    order = RepairOrder.objects.get(vehicle__plate="7LF 9053")
    conclusion = order.complaints.get().conclusion
    assert conclusion is not None
    assert (str(conclusion.component), conclusion.position) == ("Tyre", "RR")
    assert not Replacement.objects.filter(complaint__order=order).exists()


def test_a_pump_was_replaced_although_nothing_was_found(world: str) -> None:
    row = Replacement.objects.get(complaint__order__vehicle__plate="3HK 1765")
    conclusion = row.complaint.conclusion
    assert conclusion is not None
    assert (conclusion.no_fault_found, conclusion.evidenced) == (True, False)
    assert row.unit_off is not None
    assert row.unit_off.exit == "other"


def test_a_vehicle_is_back_within_a_week_for_something_else(world: str) -> None:
    first, second = RepairOrder.objects.filter(vehicle__plate="6QS 7408").order_by("serial")
    assert first.closed_at is not None
    assert (second.taken_in_at - first.closed_at).days < 7
    systems = {order.complaints.get().system_id for order in (first, second)}
    assert len(systems) == 2


def test_no_two_customers_say_the_same(world: str) -> None:
    words = list(Complaint.objects.exclude(order__stage="void").values_list("words", flat=True))
    assert len(words) == len(set(words))


def test_every_reading_of_the_story_could_be_judged(world: str) -> None:
    verdicts = set(Reading.objects.values_list("verdict", flat=True))
    assert "not_judged" not in verdicts
    assert {"within", "outside"} <= verdicts


# ------------------------------------------------------------- vehicles and people


def test_about_sixty_vehicles_with_right_check_digits_and_nobody_s_maker(world: str) -> None:
    vehicles = list(Vehicle.objects.all())
    assert 55 <= len(vehicles) <= 70
    for vehicle in vehicles:
        checked = check_vin(vehicle.vin)
        assert checked.check_digit_ok, vehicle.vin
        assert checked.model_year.year == vehicle.model_year
        assert vehicle.vin[:3] in ("9ZZ", "7XX")


@pytest.mark.parametrize(
    ("username", "home"),
    [
        ("ines", "/quay-street/bay/"),
        ("bela", "/quay-street/desk/"),
        ("nuri", "/quay-street/counter/"),
        ("sefa", "/millrace/bay/"),
        ("pim", "/millrace/desk/"),
        ("jory", "/millrace/counter/"),
    ],
)
def test_the_sign_ins_printed_open_the_home_page_of_the_role(
    world: str, username: str, home: str
) -> None:
    assert f"  {username} " in world
    assert PASSWORD in world
    client = Client()
    page = client.post("/sign-in/", {"username": username, "password": PASSWORD}, follow=True)
    assert page.redirect_chain[-1][0] == home
    assert page.status_code == 200


def test_the_owner_of_both_workshops_sees_both_offices(world: str) -> None:
    client = Client()
    client.force_login(User.objects.get(username="vera"))
    for slug in ("quay-street", "millrace"):
        assert client.get(f"/{slug}/office/").status_code == 200
    assert world.count("Vera S.") == 2


def test_the_command_prints_the_address_and_every_role_of_both_workshops(world: str) -> None:
    assert settings.BASE_URL in world
    for name in ("Quay Street", "Millrace"):
        for role in Role:
            assert any(name in line and role.label in line for line in world.splitlines()), (
                name,
                role,
            )


def test_claims_stand_in_every_state(world: str) -> None:
    claims = Claim.objects.filter(**QUAY)
    states = set(claims.values_list("state", flat=True))
    assert states == set(Claim.State.values) - {"void"}
    unsent = claims.filter(first_sent_at=None)
    due = [claim.due_on for claim in unsent if claim.due_on]
    assert min(due) < NOW.date() < max(due)
    assert any(0 <= (day - NOW.date()).days <= 7 for day in due)
    rows = PaymentRow.objects.filter(file__workshop__slug="quay-street")
    assert set(rows.values_list("match", flat=True)) == {"exact", "probable", "none"}
    assert claims.get(complaint__order__vehicle__plate="8JU 4410").state == "draft"


def test_a_claim_was_refused_for_a_reading_sent_again_and_paid_short(world: str) -> None:
    claim = Claim.objects.get(complaint__order__vehicle__plate="3DN 6120")
    first, second = claim.submissions.order_by("number")
    refused, short = first.answers.get(), second.answers.get()
    assert (refused.kind, refused.reason) == ("refused", "reading")
    assert (short.kind, claim.state) == ("short", "short")
    assert second.changed
    assert short.agreed is not None
    assert claim.claimed > short.agreed == claim.paid > 0


def test_the_morning_shows_who_else_pays(world: str) -> None:
    complaints = Complaint.objects.filter(
        order__closed_at=None, **{f"order__{k}": v for k, v in QUAY.items()}
    )
    with clock.at(NOW):
        seen = pictures(list(complaints))
    by_plate = {one.complaint.order.vehicle.plate: one for one in seen.values()}
    assert any(
        one.days_left is not None and one.days_left <= 60 for one in by_plate["9SA 4407"].ending
    )
    fitted = by_plate["2LT 9910"].decision.decided
    assert fitted is not None
    assert fitted.term.kind == "parts_warranty"
    assert Complaint.objects.get(order=the_job("2LT 9910")).payer == "parts_warranty"
    far = by_plate["8NC 2759"].decision
    assert far.outcome == "not_covered"
    assert "km were used up" in far.because
    unknown = pictures([the_job("5GF 5076").complaints.get()])
    assert {one.decision.outcome for one in unknown.values()} == {"needs_person"}


def test_it_refuses_a_database_in_which_there_is_a_workshop(world: str) -> None:
    before = RepairOrder.objects.count()
    with pytest.raises(CommandError, match="There is a workshop here already"):
        call_command("demo", stdout=StringIO())
    assert RepairOrder.objects.count() == before


# ------------------------------------------------------------- Counter, clock and bill

QUAY = {"workshop__slug": "quay-street"}


def the_part(number: str) -> Replacement:
    waiting = Replacement.objects.filter(**QUAY, complaint__order__closed_at=None)
    found: Replacement = waiting.get(part_number=number)
    return found


def test_a_job_waits_for_assemblies_in_every_state(world: str) -> None:
    assert the_part("PL2-50-402").state == "to_order"
    assert not StockItem.objects.filter(**QUAY, part_number="PL2-50-402", on_hand__gt=0).exists()
    covered = the_part("PL2-40-200")
    assert covered.state == "to_order"
    assert StockItem.objects.get(**QUAY, part_number="PL2-40-200").free >= 1
    assert the_part("PL2-40-510").state == "ordered"
    kept = the_part("PL2-20-214")
    assert (kept.state, kept.handed_at) == ("received", None)
    assert StockItem.objects.get(**QUAY, part_number="PL2-20-214").reserved == 1
    handed = the_part("OR1-50-120")
    assert handed.state == "received"
    assert handed.handed_at is not None


def test_orders_to_suppliers_stand_in_every_state(world: str) -> None:
    lines = SupplyLine.objects.filter(**QUAY)
    part = lines.get(part_number="PL2-40-101", quantity=4)
    assert (part.received, part.awaited) == (2, 2)
    found = SupplyReceipt.objects.filter(**QUAY, line__in=lines).values_list("found", flat=True)
    assert {"good", "wrong", "damaged"} == set(found)
    late = lines.exclude(late_because="").filter(awaited__gt=0).get()
    assert late.expected_on > NOW.date()
    assert lines.filter(cancelled__gt=0, awaited__gt=0).exists()
    assert SupplyOrder.objects.filter(**QUAY).exclude(voided_at=None).count() == 1


def test_something_goes_back_for_credit_and_something_was_sent(world: str) -> None:
    back = SupplyReturn.objects.filter(**QUAY, credited_at=None)
    assert {(row.why, row.sent_at is not None) for row in back} == {
        ("wrong", False),
        ("damaged", True),
    }


@pytest.mark.parametrize("slug", ["quay-street", "millrace"])
def test_numbers_of_papers_have_no_gap(world: str, slug: str) -> None:
    for rows in (
        SupplyOrder.objects.all(),
        HeldPart.objects.all(),
        Payment.objects.all(),
        Claim.objects.all(),
        Invoice.objects.filter(kind="invoice"),
        Invoice.objects.filter(kind="credit"),
    ):
        serials = sorted(rows.filter(workshop__slug=slug).values_list("serial", flat=True))
        assert serials == list(range(1001, 1001 + len(serials)))


def test_stock_is_the_sum_of_its_movements_and_never_less_than_nothing(world: str) -> None:
    items = list(StockItem.objects.all())
    assert len(items) > 20
    for item in items:
        moved = item.movements.order_by("pk").values_list("quantity", "balance")
        balance = 0
        for quantity, after in moved:
            balance += quantity
            assert balance == after >= 0
        assert balance == item.on_hand
    assert set(StockMovement.objects.values_list("kind", flat=True)) >= {
        "received",
        "handed",
        "counted",
    }


def test_parts_are_held_for_a_payer_overdue_to_go_and_for_their_core(world: str) -> None:
    rows = HeldPart.objects.filter(**QUAY)
    asked = rows.filter(state="held", why="payer").exclude(asked_for_on=None)
    days = sorted(row.asked_for_on for row in asked if row.asked_for_on)
    assert len(days) == 2
    assert days[0] < NOW.date() < days[1]
    closed = rows.filter(state="held", why="scrap", hold_until__lt=NOW.date())
    assert closed.exclude(replacement__complaint__order__closed_at=None).exists()
    cores = rows.filter(why="core", state="sent")
    assert cores.filter(credited_at=None).exists()
    assert cores.exclude(credited_at=None).exists()
    assert rows.filter(why="core", state="held").exists()


def test_the_estimates_of_the_morning_show_what_an_estimate_can(world: str) -> None:
    lines = LabourLine.objects.filter(complaint__order__workshop__slug="quay-street")
    first = Estimate.objects.filter(order=the_job("4HB 0072")).earliest("number")
    assert [line.kind for line in first.lines.all()] == ["diagnosis"]
    assert Estimate.objects.filter(order=the_job("8NC 2759")).count() == 3  # diagnosis, two of work
    shared = the_job("1QF 6625").complaints.get()
    assert (shared.payer, str(shared.payer_percent)) == ("goodwill", "40.00")
    assert OtherLine.objects.get(complaint=shared).kind == "sublet"
    assert lines.filter(kind="extra").exclude(reason="").exists()


def test_one_clock_runs_one_was_forgotten_and_one_was_put_right(world: str) -> None:
    rows = ClockEntry.objects.filter(**QUAY)
    running = rows.get(ended_at=None)
    assert (running.user.username, running.complaint.order) == ("ines", the_job("7KD 3318"))
    forgotten = rows.get(ended="shift")
    assert forgotten.user.username == "aune"
    assert forgotten.started_at == datetime(2026, 3, 10, 16, 40, tzinfo=ZONE)
    assert forgotten.counted_to == datetime(2026, 3, 10, 17, 30, tzinfo=ZONE)
    fixed = rows.get(corrections__isnull=False)
    assert fixed.counted_to != fixed.ended_at
    assert rows.count() > 50


def test_nobody_is_clocked_on_twice_at_a_time(world: str) -> None:
    for person in User.objects.filter(memberships__role="technician"):
        rows = ClockEntry.objects.filter(user=person).exclude(counted_to=None)
        spans = sorted(rows.values_list("counted_from", "counted_to"))
        assert all(one[1] <= two[0] for one, two in pairwise(spans))


def test_bills_stand_in_every_state(world: str) -> None:
    invoices = Invoice.objects.filter(**QUAY, kind="invoice")
    released = RepairOrder.objects.filter(**QUAY, stage="released", vehicle__plate="7TG 4395")
    assert not Invoice.objects.filter(order=released.latest("serial")).exists()
    assert invoices.filter(owed__gt=0, paid=0).exists()
    assert invoices.filter(owed__gt=0, paid__gt=0).exists()
    assert Invoice.objects.filter(**QUAY, kind="credit").count() == 1
    today = Payment.objects.filter(**QUAY, at__date=NOW.date())
    assert sorted(today.values_list("how", flat=True)) == ["card", "cash"]
    assert invoices.count() > 30
