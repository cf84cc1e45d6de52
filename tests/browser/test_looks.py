"""Every screen, in light and dark, on a tablet, a phone and a desk: WCAG 2.2 AA, room for a finger,
nothing that scrolls sideways, nothing that moves when stillness was asked for."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.models import Procedure, ProcedureRun, Step
from diagnostics.services import runs
from diagnostics.services.runs import Answer, Measured
from jobs.models import RepairOrder
from jobs.stages import Stage
from shop.actor import Actor
from shop.models import Workshop
from shop.roles import Role
from tests.browser.conftest import Opener
from tests.browser.looks import bring_axe, broken_rules, moving, sideways, small_targets
from tests.browser.tablet import DESK, PHONE, TABLET, Tablet
from tests.cast import person
from tests.diagnostics.samples import worked
from tests.factories import a_repair_order, a_session
from tests.house.addresses import ADDRESSES, OPEN
from tests.house.world import one_of_each
from tests.jobs.along import RED_AND_AMBER, Crew, bring_to, give_estimate

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Answers that are no page: parts of one, papers, files, a word for a monitor.
NO_PAGE = {
    "claim-draft-pdf",
    "claim-pdf",
    "claim-csv",
    "claim-json",
    "capture",
    "vin-check",
    "tyre-check",
    "owner-check",
    "take-in-earlier",
    "flag-meaning",
    "flag-row",
    "job-card",
    "estimate-pdf",
    "authority-pdf",
    "repair-order-pdf",
    "report-draft",
    "report-pdf",
    "report-json",
    "report-book",
    "report-csv",
    "office-book",
    "accounts-csv",
    "accounts-book",
    "held-label",
    "safety-text",
    "held-tags",
    "supply-order-pdf",
    "supply-order-csv",
    "invoice-pdf",
    "receipt-pdf",
    "till-day",
    "clock-now",
    "clock-here",
    "photo-picture",
    "photo-small",
}
PAGES = [
    address
    for address in ADDRESSES.values()
    if not address.post and address.access != OPEN and address.name not in NO_PAGE
]
AT_THE_BAY = {"bay", "session", "lamps", "flags", "readings", "reading-replace", "fitting"} | {
    "work",
    "work-out",
    "measurement",
    "measurement-replace",
    "photos",
    "photo",
}
# Between them every shape of field: a file, grids of numbers and of answers, days, ticks.
EVERY_SHAPE = ("sensor_waveform", "brake_forces", "assist_by_speed", "lining_life")
# On a tablet or phone in the Bay; 24 elsewhere, with the exceptions of WCAG, is axe's to find.
FINGER = 44
HANDS = 6  # the pages are dealt out, so that several can look at once


@pytest.fixture
def everybody(quay_street: Workshop) -> Actor:
    """Somebody with every role, who sees every button there is."""
    return person(quay_street, "Vera S.", *Role)


@pytest.mark.parametrize("hand", range(HANDS))
def test_every_page_can_be_used_by_everybody(
    tablet: Opener, crew: Crew, everybody: Actor, quay_street: Workshop, hand: int
) -> None:
    things = one_of_each(crew)
    one = tablet(everybody, reduced_motion="reduce")
    troubles = []
    for address in PAGES[hand::HANDS]:
        args = [things[name] for name in address.args]
        path = reverse(address.name, args=[quay_street.slug, *args])
        troubles += look_at(one, path, at_the_bay=address.name in AT_THE_BAY)
    assert not troubles, "\n".join(troubles)


def test_the_sign_in_page_can_be_used_by_everybody(tablet: Opener, quay_street: Workshop) -> None:
    troubles = look_at(tablet(reduced_motion="reduce"), reverse("sign-in"))
    assert not troubles, "\n".join(troubles)


def test_working_out_can_be_used_by_everybody(
    tablet: Opener, crew: Crew, quay_street: Workshop
) -> None:
    """The forms, and what comes of them with pictures that are wide, tall and square."""
    session = a_session(crew.technician)
    one = tablet(crew.technician, reduced_motion="reduce")
    made = [worked(crew.technician, session, key).pk for key in (*EVERY_SHAPE[1:], "disc_on_hub")]
    paths = [
        *(reverse("work-out", args=[quay_street.slug, session.pk, key]) for key in EVERY_SHAPE),
        *(reverse("measurement", args=[quay_street.slug, pk]) for pk in made),
    ]
    troubles = [trouble for path in paths for trouble in look_at(one, path, at_the_bay=True)]
    assert not troubles, "\n".join(troubles)


def test_a_job_can_be_used_at_every_stage(
    tablet: Opener, crew: Crew, everybody: Actor, quay_street: Workshop
) -> None:
    """The sheets that change with the stage, the three lists of the Counter, a full Desk."""
    slug = quay_street.slug
    stages = (Stage.RECEIVED, Stage.AWAITING_AUTHORITY, Stage.AWAITING_ASSEMBLY, Stage.PROVING)
    orders = {stage: a_job(crew, stage) for stage in (*stages, Stage.READY, Stage.DECLINED)}
    give_estimate(crew, orders[Stage.AWAITING_AUTHORITY])
    one = tablet(everybody, reduced_motion="reduce")
    paths = [reverse(name, args=[slug]) for name in ("desk", "counter", "bay", "office")]
    for stage, name in (
        (Stage.RECEIVED, "order"),
        (Stage.AWAITING_AUTHORITY, "estimate"),
        (Stage.PROVING, "proving"),
        (Stage.READY, "proving"),
        (Stage.DECLINED, "proving"),
    ):
        paths.append(reverse(name, args=[slug, orders[stage].number]))
    troubles = [trouble for path in paths for trouble in look_at(one, path)]
    assert not troubles, "\n".join(troubles)


def test_a_step_can_be_used_in_every_state(
    tablet: Opener, crew: Crew, everybody: Actor, quay_street: Workshop
) -> None:
    """Caution, corner, value, verdict, question; and what a missing page says."""
    order = a_job(crew, Stage.DIAGNOSING, unsafe=True)
    path = reverse("session", args=[quay_street.slug, order.session_id])
    one = tablet(everybody, reduced_motion="reduce")
    one.expected.add(404)
    run = begun(crew, order)
    troubles = look_at(one, path, at_the_bay=True)
    runs.choose_corner(crew.technician, run, act=uuid4(), revision=run.revision, corner="LR")
    troubles += look_at(one, path, at_the_bay=True)
    runs.acknowledge(crew.technician, run, act=uuid4(), revision=run.revision, step=now(run))
    troubles += look_at(one, path, at_the_bay=True)
    for value, outcome in (("1.39", ""), ("OL", "")):
        step = now(run)
        reading = Measured(value=value, unit="kohm", temperature="20")
        given = Answer(outcome=outcome, reading=reading)
        runs.answer(
            crew.technician, run, act=uuid4(), revision=run.revision, step=step, answer=given
        )
        troubles += look_at(one, f"{path}?run={run.pk}&step={step.pk}", at_the_bay=True)
    troubles += look_at(one, path, at_the_bay=True)
    troubles += look_at(one, f"{path}?lists", at_the_bay=True)
    troubles += look_at(one, f"/{quay_street.slug}/nowhere/")
    assert not troubles, "\n".join(troubles)


def a_job(crew: Crew, stage: Stage, *, unsafe: bool = False) -> RepairOrder:
    order = a_repair_order(
        crew.manager, technician=crew.technician, lamps=RED_AND_AMBER if unsafe else ()
    )
    return bring_to(stage, order, crew)


def begun(crew: Crew, order: RepairOrder) -> ProcedureRun:
    circuit = Procedure.objects.get(version=order.session.version, key="wheel_speed_circuit")
    return runs.begin(crew.technician, order.session, act=uuid4(), procedure=circuit)


def now(run: ProcedureRun) -> Step:
    assert run.current is not None
    return run.current


def look_at(one: Tablet, path: str, *, at_the_bay: bool = False) -> list[str]:
    """One load of the page, looked at in each size and both themes."""
    page = one.go(path)
    bring_axe(page)
    found: list[str] = []
    for name, size, theme in (
        ("tablet", TABLET, "light"),
        ("tablet", TABLET, "dark"),
        ("phone", PHONE, "dark"),
        ("desk", DESK, "light"),
    ):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        only = ("color-contrast",) if (name, theme) == ("tablet", "dark") else ()
        seen = broken_rules(page, *only) + sideways(page)
        if at_the_bay and name != "desk":
            seen += small_targets(page, "main", FINGER)
        found += [f"{path} on a {name}, {theme}: {trouble}" for trouble in seen]
    return found + [f"{path}: {trouble}" for trouble in moving(page)]
