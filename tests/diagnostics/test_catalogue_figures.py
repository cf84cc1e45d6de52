"""Figures, curves and what a step works out: read, checked by line, loaded, and found again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import yaml
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.catalogue import references
from diagnostics.catalogue.beforehand import curve_numbers, figure_number
from diagnostics.catalogue.book import Book
from diagnostics.catalogue.source import read_source
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given
from diagnostics.measurements.kind import DerivedQuantity, Group, MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Outcome
from diagnostics.models import CatalogueVersion, Component, Curve, Figure, Session, Step
from diagnostics.queries.known import known_for
from diagnostics.services.catalogue import load_all
from shop.actor import Actor
from shop.units import Kind
from tests import factories
from tests.diagnostics.catalogue_shelf import SOUND, line_of, read

FIGURES = """\
figures:
  - {figure: teeth, positions: LR RR, component: hub, value: "44", source: sheet 5}
  - {figure: teeth, value: 52, source: sheet 5}
  - {figure: sense_resistance, value: 100 ohm, source: sheet 5}
  - {figure: sensor_kind, value: passive, source: sheet 5}
  - {figure: steering_wheel_diameter, value: 380 mm, source: sheet 11}
curves:
  - quantity: sensor_resistance
    component: hub
    against: road_speed
    points: {0 km/h: 1.40 kohm, 36 km/h: 1400 ohm, 72 km/h: 1.30 kohm}
    tolerance: 50 ohm
    source: sheet 6
"""
WITH = SOUND.replace("telltales:\n", FIGURES + "telltales:\n", 1)
KIND = MeasurementKind(
    key="hub_check",
    name="Hub check",
    group=Group.WHEEL_SPEED,
    purpose="Find out.",
    fields=(Number("ohms", "Resistance", Kind.RESISTANCE, "kohm"),),
    quantities=(
        DerivedQuantity("sensor_resistance", "Sensor resistance", Kind.RESISTANCE, "kohm"),
        DerivedQuantity("hub_quality", "Quality of the hub", Kind.RATIO, "%"),
    ),
    work_out=lambda given, known: Outcome("It was worked out."),
    place="wheel",
)


@pytest.fixture
def kind(monkeypatch: pytest.MonkeyPatch) -> MeasurementKind:
    monkeypatch.setattr(references, "KINDS", {KIND.key: KIND})
    return KIND


def the_book(text: str = WITH) -> Book:
    pages = read(tt1=text)
    assert [str(problem) for problem in pages.problems] == []
    [book] = pages.books
    return book


class TestWhatIsRead:
    def test_a_figure_is_known_by_its_key_component_and_place(self) -> None:
        assert list(the_book().figures) == [
            "teeth / hub / LR",
            "teeth / hub / RR",
            "teeth / any component / any position",
            "sense_resistance / any component / any position",
            "sensor_kind / any component / any position",
            "steering_wheel_diameter / any component / any position",
        ]

    def test_numbers_are_si_and_words_stay_words(self) -> None:
        found = {key: figure_number(one.entry) for key, one in the_book().figures.items()}
        teeth = found["teeth / hub / LR"]
        assert (teeth.value, teeth.unit, teeth.words) == (44.0, "count", "")
        wheel = found["steering_wheel_diameter / any component / any position"]
        assert (wheel.value, wheel.unit) == (0.38, "mm")
        sensor = found["sensor_kind / any component / any position"]
        assert (sensor.value, sensor.words) == (None, "passive")

    def test_a_curve_runs_from_left_to_right_in_si(self) -> None:
        [placed] = the_book().curves.values()
        numbers = curve_numbers(placed.entry, "resistance")
        assert numbers.points == ((0.0, 1400.0), (10.0, 1400.0), (20.0, 1300.0))
        assert (numbers.tolerance, numbers.unit, numbers.against_unit) == (50.0, "kohm", "km/h")

    def test_they_count_for_the_digest(self) -> None:
        assert the_book().digest() != the_book(WITH.replace('"44"', '"45"')).digest()
        assert (
            the_book().digest()
            != the_book(
                WITH.replace("1.30 kohm, ", "").replace("1400 ohm, 72", "1410 ohm, 72")
            ).digest()
        )

    def test_an_including_platform_may_say_another_figure(self) -> None:
        other = WITH.replace("code: TT1", "code: TT2").replace(FIGURES, "")
        assert "figures:" not in other
        base = "format: 1\nfigures:\n  - {figure: teeth, value: 48, source: sheet 5}\n"
        mine = "figures:\n  - {figure: teeth, value: 52, source: sheet 9, replaces_included: yes}\n"
        text = other.replace("systems:\n", f"include: [shared/base.yaml]\n{mine}systems:\n", 1)
        pages = read(tt2=text, shared__base=base)
        assert [str(problem) for problem in pages.problems] == []
        [figure] = pages.books[0].figures.values()
        assert figure.entry.value == "52"
        pages = read(tt2=text.replace(", replaces_included: yes", ""), shared__base=base)
        assert "was given before" in str(pages.problems[0])


SPOILED = [
    ("figure: sense_resistance", "figure: sens_resistance", "there is no figure", "sense_resistan"),
    ("value: 100 ohm", "value: 100", "the unit is missing", "units of resistance are: ohm"),
    ("value: 100 ohm", "value: 100 mV", "mV is a unit of voltage, not of resistance", "ohm"),
    ("value: 100 ohm", "value: about 100", "is no amount", "write a number and its unit"),
    ("value: 100 ohm", "value: 0 ohm", "0 ohm cannot be", "above nought"),
    ("value: 100 ohm, ", "", "value is missing", "write `value:`"),
    ('value: "44"', 'value: "44.5"', "44.5 is not a whole number", "digits only"),
    ('value: "44"', 'value: "44000000"', "44000000 cannot be", "at most 200"),
    ("value: passive", "value: pasive", "pasive is no kind of wheel-speed", "did you mean passive"),
    ("positions: LR RR, component: hub, v", "positions: LF, component: hub, v", "not fitted at LF",
     "it is fitted at: LR RR"),
    ("component: hub, value", "component: hob, value", "there is no component hob", "hub"),
    ("value: 52, source: sheet 5", "value: 52", "source is missing", "write `source:`"),
    ("sensor_kind, value: passive", "teeth, value: 53",
     "teeth / any component / any position was given", "keep one"),
    ("against: road_speed", "against: raod_speed", "no quantity for a curve raod_speed",
     "did you mean road_speed"),
    ("36 km/h: 1400 ohm", "36 bar: 1400 ohm", "bar is a unit of pressure, not of speed", "km/h"),
    ("36 km/h: 1400 ohm", "36 km/h: 14 V", "V is a unit of voltage, not of resistance", "ohm"),
    ("36 km/h: 1400 ohm", "10 m/s: 1 ohm, 36 km/h: 1400 ohm", "36 km/h is the same place as 10 m/s",
     "keep one"),
    (", 36 km/h: 1400 ohm, 72 km/h: 1.30 kohm", "", "a curve needs two points", "two or more"),
    ("tolerance: 50 ohm", "tolerance: -50 ohm", "-50 ohm is below zero", "without a sign"),
    ("tolerance: 50 ohm", "tolerance: 50 km/h", "km/h is a unit of speed", "ohm"),
    ("    tolerance: 50 ohm\n", "", "tolerance is missing", "write `tolerance:`"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "wrong", "right"), SPOILED)
def test_what_is_wrong_is_said_with_its_line(old: str, new: str, wrong: str, right: str) -> None:
    assert WITH.count(old) == 1, old
    text = WITH.replace(old, new)
    [problem] = read(tt1=text).problems
    assert wrong in problem.wrong
    assert right in problem.right
    if new:
        assert problem.line == line_of(text, new)


def test_what_the_program_works_out_keeps_its_kind() -> None:
    old = "kind: resistance, unit: kohm"
    text = WITH.replace(old, "kind: voltage, unit: V")
    [problem, *_rest] = read(tt1=text).problems
    assert problem.wrong == "sensor_resistance is worked out by the program as a resistance"
    assert problem.right == "write resistance, or another key"
    assert problem.line == line_of(text, "kind: voltage")


def test_what_the_program_works_out_needs_no_definition() -> None:
    limit = "  - {quantity: disc_thickness_variation, allowed: at most 0.01 mm, source: sheet 9}\n"
    book = the_book(WITH.replace("limits:\n", f"limits:\n{limit}"))
    assert book.worked_out == {"disc_thickness_variation"}


STEP = "        quantity: sensor_resistance\n"


class TestWhatAStepWorksOut:
    def text(self, extra: str, position: str = "suspect") -> str:
        return WITH.replace(STEP, f"{STEP}        position: {position}\n        {extra}\n")

    def test_it_names_a_kind_that_gives_its_quantity(self, kind: MeasurementKind) -> None:
        book = the_book(self.text("works_out: hub_check"))
        assert book.procedures["wheel"].entry.steps["resistance"].works_out == "hub_check"

    @pytest.mark.parametrize(
        ("extra", "position", "wrong", "right"),
        [
            ("works_out: hub_chek", "suspect", "no kind of measurement hub_chek", "hub_check"),
            ("works_out: hub_check", "rear", "hub_check is made on one wheel", "LF RF LR RR susp"),
        ],
    )
    def test_else_it_is_told(
        self, kind: MeasurementKind, extra: str, position: str, wrong: str, right: str
    ) -> None:
        [problem] = read(tt1=self.text(extra, position)).problems
        assert wrong in problem.wrong
        assert right in problem.right

    def test_a_quantity_that_the_kind_does_not_give(
        self, kind: MeasurementKind, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        poorer = replace(KIND, quantities=KIND.quantities[1:])
        monkeypatch.setattr(references, "KINDS", {KIND.key: poorer})
        text = self.text("works_out: hub_check")
        [problem] = read(tt1=text).problems
        assert problem.wrong == "hub_check does not give sensor_resistance"
        assert problem.right == "what it gives is: hub_quality"
        assert problem.line == line_of(text, "works_out: hub_check")

    def test_a_look_works_nothing_out(self, kind: MeasurementKind) -> None:
        look = "        kind: look\n"
        [problem] = read(tt1=WITH.replace(look, look + "        works_out: hub_check\n")).problems
        assert "needs a quantity" in problem.wrong


class TestWhatIsKnown:
    @pytest.fixture
    def session(self, ines: Actor, kind: MeasurementKind) -> Session:
        text = WITH.replace(STEP, f"{STEP}        position: LR\n        works_out: hub_check\n")
        load_all([the_book(text)])
        vehicle = factories.a_vehicle(ines, platform="TT1", tyre_size="185/65 R15")
        return factories.a_session(ines, vehicle=vehicle)

    @pytest.fixture
    def hub(self, session: Session) -> Component:
        return Component.objects.get(platform__code="TT1", key="hub")

    def test_it_is_written_with_the_version(self, session: Session) -> None:
        version = CatalogueVersion.objects.get(platform__code="TT1")
        assert Figure.objects.filter(version=version).count() == 6
        assert Curve.objects.get(version=version).points.count() == 3
        assert Step.objects.get(procedure__version=version, key="resistance").works_out == KIND.key

    def test_the_closest_figure_holds(self, session: Session, hub: Component) -> None:
        assert known_for(session, KIND, hub, "LR").figure("teeth") == 44.0
        assert known_for(session, KIND, None, "LF").figure("teeth") == 52.0
        assert known_for(session, KIND, None, "").figures["sensor_kind"].words == "passive"

    def test_a_measurement_of_the_whole_car_knows_what_holds_at_each_wheel(
        self, session: Session
    ) -> None:
        known = known_for(session, KIND, None, "")
        assert known.figure("teeth") == 52.0
        assert known.limits["sensor_resistance/RR"].limit.low == 1280.0
        assert "sensor_resistance/LF" not in known.limits
        assert "sensor_resistance" not in known.limits

    def test_limit_curve_tyre_rule_and_day_are_there(
        self, session: Session, hub: Component
    ) -> None:
        session.workshop.brake_rule = "us"
        session.vehicle.in_service_on = date(2019, 5, 1)
        known = known_for(session, KIND, hub, "LR")
        assert known.limits["sensor_resistance"].limit.high == 1500.0
        assert known.limits["sensor_resistance"].source == "sheet 4"
        curve = known.curves["sensor_resistance"]
        assert curve.points == ((0.0, 1400.0), (10.0, 1400.0), (20.0, 1300.0))
        assert (curve.against, curve.tolerance, curve.source) == ("road_speed", 50.0, "sheet 6")
        assert (known.tyre, known.position) == ("185/65 R15", "LR")
        assert (known.brake_rule, known.first_used) == ("us", date(2019, 5, 1))
        assert known.today is not None

    def test_another_component_has_no_curve_of_the_hub(self, session: Session) -> None:
        other = Component.objects.exclude(platform__code="TT1").first()
        assert other is not None
        assert known_for(session, KIND, other, "LR").curves == {}

    def test_without_pages_only_the_vehicle_is_known(self, session: Session) -> None:
        session.version = None
        known = known_for(session, KIND, None, "LR")
        assert (known.figures, known.curves, known.limits) == ({}, {}, {})
        assert known.tyre == "185/65 R15"

    def test_it_takes_the_same_few_queries_whatever_the_pages_hold(
        self, session: Session, hub: Component
    ) -> None:
        def asked() -> int:
            fresh = Session.objects.get(pk=session.pk)
            with CaptureQueriesContext(connection) as queries:
                known_for(fresh, KIND, hub, "LR")
            return len(queries)

        before = asked()
        version = CatalogueVersion.objects.get(platform__code="TT1")
        Figure.objects.bulk_create(
            Figure(version=version, key=f"figure{n}", value=1.0, unit="mm", source="s")
            for n in range(40)
        )
        assert asked() == before <= 6


def test_both_yaml_readers_see_the_same_tree_on_the_same_lines() -> None:
    if not hasattr(yaml, "CBaseLoader"):
        pytest.skip("this PyYAML was built without libyaml, so there is one reader only")
    folder = Path(settings.BASE_DIR) / "fixtures" / "catalogue"
    for path in sorted(folder.rglob("*.yaml")):
        data = path.read_bytes()
        quick = read_source(path.name, data)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("diagnostics.catalogue.source._FAST", yaml.BaseLoader)
            slow = read_source(path.name, data)
        assert quick.problems == slow.problems == []
        assert (quick.tree, quick.lines) == (slow.tree, slow.lines), path.name


def test_known_and_given_are_what_a_computation_gets() -> None:
    assert KIND.work_out(Given({}), Known()).says == "It was worked out."
