"""The sheet of a car with eleven computations on it, beside one with a single computation."""

from __future__ import annotations

from functools import partial

from django.core.handlers.wsgi import WSGIHandler
from django.urls import reverse

from tests.bench.caller import Case, Tablet, side_by_side, statements
from tests.bench.measures import Figures
from tests.bench.world import World
from tests.diagnostics import samples
from tests.factories import a_session

ELEVEN = (
    "four_wheels",
    "sensor_waveform",
    "coil_resistance",
    "pwm_actuator",
    "pressure_hold",
    "pump_test",
    "assist_by_speed",
    "disc_on_hub",
    "brake_forces",
    "alignment",
    "brake_fluid",
)
PAGES = 20


def worked(world: World, figures: Figures) -> None:
    """The whole page with every picture, drawn already: what a second look at it costs."""
    product, tablet = WSGIHandler(), Tablet(world.crew.technician)
    cases = [
        Case(name, product, partial(tablet.get, _sheet(world, kinds)), "worked__says")
        for name, kinds in (("work, one", ELEVEN[-1:]), ("work, eleven", ELEVEN))
    ]
    figures.seconds |= side_by_side(cases, times=PAGES, warm=2)
    figures.statements |= {case.name: statements(case) for case in cases}


def _sheet(world: World, kinds: tuple[str, ...]) -> str:
    session = a_session(world.crew.technician)
    for key in kinds:
        samples.worked(world.crew.technician, session, key)
    return reverse("work", args=[world.workshop.slug, session.pk])
