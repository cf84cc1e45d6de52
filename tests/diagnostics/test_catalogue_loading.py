"""Loading books into the database: versioned, repeatable, all or nothing."""

from __future__ import annotations

import uuid

import pytest

from diagnostics.models import (
    CatalogueVersion,
    Component,
    Conclusion,
    Limit,
    PartNumber,
    Phase,
    Quantity,
    Session,
    Step,
)
from diagnostics.services.catalogue import load_all
from shop import clock
from shop.errors import Refusal
from shop.models import Customer, Platform, User, Vehicle, Workshop
from tests.diagnostics.catalogue_shelf import SOUND, read, spoil

pytestmark = pytest.mark.usefixtures("no_catalogue")


def load(text: str = SOUND) -> CatalogueVersion:
    pages = read(tt1=text)
    assert pages.sound, [str(problem) for problem in pages.problems]
    [done] = load_all(pages.books)
    return CatalogueVersion.objects.get(platform__code=done.code, number=done.number)


def conclude(component: Component) -> None:
    """Make one fact rest on a component: a conclusion in a session."""
    workshop = Workshop.objects.create(name="Test Street", slug=f"t{uuid.uuid4().hex[:8]}")
    user = User.objects.create(username=uuid.uuid4().hex)
    owner = Customer.objects.create(workshop=workshop, name="A. Owner", phone="100")
    vehicle = Vehicle.objects.create(workshop=workshop, vin="9ZZAB3CD8L1000001", customer=owner)
    session = Session.objects.create(
        workshop=workshop, vehicle=vehicle, opened_at=clock.now(), opened_by=user
    )
    Conclusion.objects.create(
        session=session,
        phase=Phase.AS_FOUND,
        at=clock.now(),
        by=user,
        component=component,
        evidenced=False,
    )


class TestTheFirstLoad:
    def test_the_platform_says_that_its_figures_are_for_demonstration(self) -> None:
        load()
        platform = Platform.objects.get(code="TT1")
        assert platform.notice == "demo figures: use the vehicle maker's"

    def test_limits_are_stored_in_si_for_each_position_with_the_unit_as_written(self) -> None:
        version = load()
        rows = version.limits.order_by("position")
        assert [row.position for row in rows] == ["LR", "RR"]
        left = rows[0]
        assert (left.low, left.high, left.unit) == (1280.0, 1500.0, "kohm")
        assert left.reference_k == pytest.approx(293.15)
        assert left.corrects_for_copper
        assert left.source == "sheet 4"

    def test_a_superseded_number_points_at_the_next_of_its_position(self) -> None:
        load()
        first = PartNumber.objects.get(number="TT1-1", position="LR")
        assert first.superseded_by == PartNumber.objects.get(number="TT1-2", position="LR")

    def test_a_measurement_has_all_four_verdicts_and_each_leads_somewhere(self) -> None:
        version = load()
        step = Step.objects.get(procedure__version=version, key="resistance")
        answers = {row.key: row for row in step.outcomes.select_related("goto")}
        assert list(answers) == ["within", "near", "outside", "not_judged"]
        assert answers["within"].ends
        assert answers["outside"].goto is not None
        assert answers["outside"].goto.key == "look"
        assert [answers[key].judged for key in answers] == ["good", "good", "bad", "unknown"]

    def test_a_caution_has_one_answer_that_leads_to_the_step_it_belongs_to(self) -> None:
        version = load()
        step = Step.objects.get(procedure__version=version, key="lift")
        [answer] = step.outcomes.select_related("goto")
        assert answer.goto is not None
        assert answer.goto.key == "resistance"

    def test_the_last_step_ends_the_procedure(self) -> None:
        step = Step.objects.get(procedure__version=load(), key="look")
        assert [row.ends for row in step.outcomes.all()] == [True, True]

    def test_the_proving_rule_is_in_metres_and_metres_per_second(self) -> None:
        rule = load().proving_rule
        assert rule.self_test_speed_mps == pytest.approx(5 / 3.6)
        assert rule.min_distance_m == 5000


class TestLoadingAgain:
    def test_the_same_pages_make_no_new_version_and_no_new_rows(self) -> None:
        first = load()
        counts = [model.objects.count() for model in (Component, PartNumber, Limit, Step)]
        assert load() == first
        assert [model.objects.count() for model in (Component, PartNumber, Limit, Step)] == counts

    def test_a_changed_limit_makes_a_new_version_and_leaves_the_old_one_as_it_was(self) -> None:
        first = load()
        second = load(spoil("1.28 to 1.50 kohm", "1.30 to 1.50 kohm"))
        assert (first.number, second.number) == (1, 2)
        assert {row.low for row in first.limits.all()} == {1280.0}
        assert {row.low for row in second.limits.all()} == {1300.0}

    def test_components_and_part_numbers_keep_their_rows(self) -> None:
        load()
        hub, part = (
            Component.objects.get(key="hub"),
            PartNumber.objects.get(number="TT1-2", position="LR"),
        )
        load(spoil("name: Hub assembly", "name: Hub unit").replace("12.50", "13.75"))
        assert Component.objects.get(key="hub").pk == hub.pk
        assert Component.objects.get(key="hub").name == "Hub unit"
        part.refresh_from_db()
        assert str(part.price) == "13.75"

    def test_a_number_no_longer_named_is_retired_and_comes_back_when_named_again(self) -> None:
        load()
        load(
            spoil(
                "  TT1-1: {component: hub, positions: LR RR, price: 10.00, superseded_by: TT1-2}\n",
                "",
            )
        )
        assert set(PartNumber.objects.filter(number="TT1-1").values_list("retired", flat=True)) == {
            True
        }
        load()
        assert set(PartNumber.objects.filter(number="TT1-1").values_list("retired", flat=True)) == {
            False
        }


def test_a_variant_may_replace_a_limit_at_one_position_and_keep_it_at_the_other() -> None:
    variant = (
        "format: 1\nplatform: {code: TT1-S, make: Testmake, model: Trolley, title: T}\n"
        "include: [tt1.yaml]\nlimits:\n  - quantity: sensor_resistance\n    component: hub\n"
        "    positions: LR\n    allowed: 1 to 2 kohm\n    source: sheet 9\n"
        "    replaces_included: yes\n"
    )
    pages = read(tt1=SOUND, tt1s=variant)
    assert pages.sound, [str(problem) for problem in pages.problems]
    load_all(pages.books)
    rows = Limit.objects.filter(version__platform__code="TT1-S").order_by("position")
    assert [(row.position, row.low, row.source) for row in rows] == [
        ("LR", 1000.0, "sheet 9"),
        ("RR", 1280.0, "sheet 4"),
    ]


SPARE = "components:\n  spare:\n    name: Spare thing\n    system: brake_control\n"


class TestWhatVanishes:
    def test_a_component_that_no_fact_names_is_retired(self) -> None:
        load(spoil("components:\n", SPARE))
        load()
        assert Component.objects.get(key="spare").retired

    def test_a_component_that_a_fact_names_is_not_let_go_in_silence(self) -> None:
        load(spoil("components:\n", SPARE))
        conclude(Component.objects.get(key="spare"))
        with pytest.raises(Refusal) as refused:
            load()
        assert "spare (Spare thing) is gone from the pages of TT1" in refused.value.sentence
        assert "1 conclusion stands on it" in refused.value.sentence
        assert "retired: yes" in refused.value.sentence
        assert CatalogueVersion.objects.count() == 1
        assert not Component.objects.get(key="spare").retired

    def test_it_may_be_retired_by_saying_so(self) -> None:
        load(spoil("components:\n", SPARE))
        conclude(Component.objects.get(key="spare"))
        load(spoil("components:\n", SPARE + "    retired: yes\n"))
        assert Component.objects.get(key="spare").retired

    def test_a_quantity_does_not_change_its_kind(self) -> None:
        own = SOUND.replace("sensor_resistance", "pin_resistance")
        load(own)
        other = own.replace(
            "{name: Sensor resistance, kind: resistance, unit: kohm}",
            "{name: S, kind: voltage, unit: V}",
        )
        other = other.replace("1.28 to 1.50 kohm", "1 to 2 V")
        other = other.replace("    temperature: 20 C\n    copper_correction: yes\n", "")
        with pytest.raises(Refusal, match="pin_resistance is stored as a resistance"):
            load(other)
        assert Quantity.objects.get(key="pin_resistance").kind == "resistance"


def test_one_refusal_leaves_every_platform_as_it_was() -> None:
    load(spoil("components:\n", SPARE))
    conclude(Component.objects.get(key="spare"))
    pages = read(tt0=SOUND.replace("TT1", "TT0"), tt1=SOUND)
    assert pages.sound
    with pytest.raises(Refusal):
        load_all(pages.books)
    assert not Platform.objects.filter(code="TT0").exists()
