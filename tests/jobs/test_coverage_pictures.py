"""What is known of a complaint and promised to its vehicle, gathered and decided.

That a unit fitted under a parts warranty runs by its own age and distance, contracts bought later
by their own start, and that another make's part alone never refuses: trade notes, section 10; the
last by 15 USC 2302(c) and 16 CFR 700.10. Which day counts (the one the vehicle came in): common
practice, no source.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine

from jobs.coverage.judging import Outcome
from jobs.coverage.why import Why
from jobs.models import Campaign, Complaint, FittedUnit, RepairOrder, Replacement
from jobs.queries.coverage import picture_of, pictures
from jobs.queries.coverage_page import ending_for, left_words, short_of
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.roles import Role
from tests.asserts import counted
from tests.cast import person
from tests.factories import a_repair_order, a_vehicle
from tests.jobs.along import Crew, bring_to, conclude_the_hub, the_hub
from tests.jobs.covering import (
    a_contract,
    a_term,
    an_objection,
    bare_pages,
    came_in,
    in_service,
)


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    """A job at 84,120 km whose pages promise nothing yet."""
    found = a_repair_order(crew.manager, technician=crew.technician)
    bare_pages(found)
    return found


def the_complaint(order: RepairOrder) -> Complaint:
    return order.complaints.get()


def test_without_any_promise_nobody_else_pays(order: RepairOrder) -> None:
    picture = picture_of(the_complaint(order))
    assert picture.decision.outcome is Outcome.NOT_COVERED
    assert "No warranty" in picture.decision.because


def test_a_warranty_runs_from_the_in_service_date_and_from_nought(order: RepairOrder) -> None:
    a_term(order, distance_m=100_000_000)
    in_service(order, came_in(order) - timedelta(days=300))
    picture = picture_of(the_complaint(order))
    decided = picture.decision.decided
    assert decided is not None
    assert picture.decision.outcome is Outcome.COVERED
    assert decided.distance_left_m == 100_000_000 - 84_120_000
    assert decided.because in picture.decision.because


def test_without_an_in_service_date_a_person_is_needed_and_the_page_leads_to_it(
    order: RepairOrder,
) -> None:
    a_term(order, distance_m=None)
    short = short_of(picture_of(the_complaint(order)))
    assert short.outcome == "needs_person"
    assert [lack.place for lack in short.lacks] == ["vehicle-edit"]
    in_service(order, came_in(order))
    assert short_of(picture_of(the_complaint(order))).outcome == "covered"


def test_an_in_service_date_after_the_vehicle_came_is_a_contradiction(order: RepairOrder) -> None:
    a_term(order, distance_m=None)
    in_service(order, came_in(order) + timedelta(days=1))
    picture = picture_of(the_complaint(order))
    assert picture.decision.outcome is Outcome.NEEDS_PERSON
    decided = picture.decision.decided
    assert decided is not None
    assert decided.why is Why.BEFORE_ITS_START
    assert short_of(picture).lacks[-1].place == "vehicle"


def test_a_model_year_outside_the_term_leaves_it_out(order: RepairOrder) -> None:
    a_term(order, first_year=2022)
    assert picture_of(the_complaint(order)).terms == ()
    a_term(order, key="older", first_year=2020, last_year=2021)
    assert len(picture_of(the_complaint(order)).terms) == 1


def test_of_two_overlapping_contracts_the_one_that_bears_more_is_asked_first(
    order: RepairOrder,
) -> None:
    day = came_in(order) - timedelta(days=100)
    a_contract(order, "K-1", starts_on=day, deductible="100")
    a_contract(order, "K-2", starts_on=day, deductible="50")
    payers = picture_of(the_complaint(order)).decision.payers
    assert [one.name.split()[-1] for one in payers] == ["K-2", "K-1"]


def test_a_contract_holds_until_the_day_it_was_ended(order: RepairOrder) -> None:
    day = came_in(order)
    row = a_contract(order, starts_on=day - timedelta(days=100), ended_on=day)
    assert picture_of(the_complaint(order)).decision.outcome is Outcome.COVERED
    row.ended_on = day - timedelta(days=1)
    row.save(update_fields=["ended_on"])
    assert picture_of(the_complaint(order)).decision.outcome is Outcome.NOT_COVERED


def test_a_campaign_pays_until_it_was_carried_out_before(order: RepairOrder, crew: Crew) -> None:
    day = came_in(order)
    row = Campaign.objects.create(
        workshop=order.workshop,
        vehicle=order.vehicle,
        reference="R-7",
        title="Renew the hub",
        component=the_hub(order),
        announced_on=day - timedelta(days=9),
    )
    line = concluded(order, crew)
    assert picture_of(line).decision.payers[0].payer == "campaign"
    row.remedied_on = day - timedelta(days=2)
    row.save(update_fields=["remedied_on"])
    assert picture_of(line).decision.outcome is Outcome.NOT_COVERED


def test_another_make_alone_never_refuses_and_damage_needs_its_proof(
    order: RepairOrder, crew: Crew
) -> None:
    """15 USC 2302(c), 16 CFR 700.10, as summarised in public pages."""
    a_term(order, distance_m=None)
    in_service(order, came_in(order))
    line = the_complaint(order)
    an_objection(crew.manager, line, "other_brand")
    assert picture_of(line).decision.outcome is Outcome.COVERED
    an_objection(crew.manager, line, "damage")
    assert picture_of(line).decision.outcome is Outcome.NEEDS_PERSON
    an_objection(crew.manager, line, "damage", shown="Run-out 4 mm at the dent")
    assert picture_of(line).decision.outcome is Outcome.NOT_COVERED


# ------------------------------------------------------------------ the unit that failed


def a_unit(order: RepairOrder, **more: object) -> FittedUnit:
    """The one at the place, as if it had been fitted long ago."""
    values: dict[str, Any] = {
        "workshop": order.workshop,
        "vehicle": order.vehicle,
        "component": the_hub(order),
        "position": "LR",
        "part_number": "HB-20",
        "serial_number": "S-881",
        "supplier": "Ostrel",
        "entry": FittedUnit.Entry.FITTED,
        "entered_on": came_in(order) - timedelta(days=200),
        "entered_at_m": 70_000_000,
    } | more
    place = {name: values.pop(name) for name in ("vehicle", "component", "position")}
    unit: FittedUnit
    unit, _made = FittedUnit.objects.update_or_create(**place, left_on=None, defaults=values)
    return unit


def a_unit_term(order: RepairOrder, **more: object) -> None:
    a_term(order, "unit", kind="parts_warranty", name="Unit warranty", months=24, **more)


def concluded(order: RepairOrder, crew: Crew) -> Complaint:
    bring_to(Stage.DIAGNOSING, order, crew)
    line = the_complaint(order)
    conclude_the_hub(crew.technician, line)
    return line


def test_a_unit_runs_by_its_own_age_and_distance(order: RepairOrder, crew: Crew) -> None:
    a_unit_term(order, supplier="Ostrel")
    a_unit(order)
    picture = picture_of(concluded(order, crew))
    decided = picture.decision.decided
    assert decided is not None
    assert picture.decision.payers[0].payer == "parts_warranty"
    assert decided.distance_left_m == 70_000_000 + 60_000_000 - 84_120_000
    assert "S-881" in decided.term.name


def test_a_unit_fitted_at_another_workshop_of_the_group_counts_by_the_vin(
    order: RepairOrder, crew: Crew, pim: Actor
) -> None:
    everybody = person(pim.workshop, "Odo L.", *Role)
    there = a_vehicle(everybody, vin=order.vehicle.vin)
    a_unit_term(order)
    a_unit(order, workshop=pim.workshop, vehicle=there)
    picture = picture_of(concluded(order, crew))
    assert picture.decision.outcome is Outcome.COVERED
    assert pim.workshop.name in picture.unit


@pytest.mark.parametrize(
    "unit", [{"entry": "seen"}, {"supplier": "Tindle"}, {"position": "RR"}], ids=str
)
def test_a_unit_only_seen_or_of_another_supplier_or_place_has_no_parts_warranty(
    order: RepairOrder, crew: Crew, unit: dict[str, str]
) -> None:
    a_unit_term(order, supplier="Ostrel")
    entry = {key: FittedUnit.Entry.FIRST_SEEN if key == "entry" else at for key, at in unit.items()}
    a_unit(order, **entry)
    assert picture_of(concluded(order, crew)).terms == ()


def test_an_odometer_lower_than_at_fitting_needs_a_person(order: RepairOrder, crew: Crew) -> None:
    a_unit_term(order)
    a_unit(order, entered_at_m=90_000_000)
    picture = picture_of(concluded(order, crew))
    decided = picture.decision.decided
    assert decided is not None
    assert decided.why is Why.ODOMETER_LOWER
    assert picture.decision.outcome is Outcome.NEEDS_PERSON


def test_after_the_repair_the_unit_that_came_off_still_counts(
    order: RepairOrder, crew: Crew
) -> None:
    a_unit_term(order)
    old = a_unit(order)
    bring_to(Stage.PROVING, order, crew)
    assert Replacement.objects.get(complaint__order=order).unit_off == old
    picture = picture_of(the_complaint(order))
    assert "S-881" in picture.unit
    assert picture.decision.outcome is Outcome.COVERED


# ------------------------------------------------------------------ warning ahead, and its cost


def test_what_ends_within_sixty_days_or_two_thousand_kilometres_is_said(
    order: RepairOrder,
) -> None:
    a_term(order, months=12, distance_m=None)
    start = date(2024, 1, 1)
    in_service(order, start)
    assert ending_for([the_complaint(order)]) == {}
    a_term(order, "far", name="By distance", months=None, distance_m=84_120_000 + 2_000_000)
    assert ending_for([the_complaint(order)]) == {
        order.pk: "By distance: 2000\N{NO-BREAK SPACE}km left"
    }


def test_the_warning_counts_from_today_and_the_decision_from_the_day_it_came(
    order: RepairOrder,
) -> None:
    day = came_in(order)
    begun, over = day - timedelta(days=100), day + timedelta(days=80)
    a_contract(order, starts_on=begun, months=None, ended_on=over)
    line = the_complaint(order)
    assert ending_for([line]) == {}
    later = clock.now() + timedelta(days=30)
    with time_machine.travel(later, tick=False):
        assert "50 days left" in ending_for([line])[order.pk]
        decided = picture_of(line).decision.decided
        assert decided is not None
        assert decided.days_left == 80
    with time_machine.travel(clock.now() + timedelta(days=90), tick=False):
        assert picture_of(line).decision.outcome is Outcome.COVERED


def test_left_and_over_are_said_in_words() -> None:
    assert left_words(1, None, "km") == "1 day left"
    assert left_words(-2, -3_000_000, "km") == "2 days over, 3000\N{NO-BREAK SPACE}km over"
    assert left_words(None, None, "mi") == ""


def test_the_number_of_queries_does_not_depend_on_how_many_complaints(crew: Crew) -> None:
    def some(number: int) -> list[Complaint]:
        rows = []
        for _turn in range(number):
            order = a_repair_order(crew.manager, technician=crew.technician)
            a_contract(order)
            a_unit(order)
            rows.append(concluded(order, crew))
        return rows

    few = some(2)
    with counted() as queries_few:
        pictures(few)
    many = few + some(4)
    with counted() as queries_many:
        assert len(pictures(many)) == 6
    assert len(queries_few) == len(queries_many)
