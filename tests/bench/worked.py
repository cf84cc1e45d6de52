"""The sheet of a car with eleven computations on it, beside one with a single computation."""

from __future__ import annotations

from functools import partial
from uuid import uuid4

from django.core.handlers.wsgi import WSGIHandler
from django.urls import reverse

from diagnostics.measurements.reading_in import read_typed
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Session
from diagnostics.services import captures, measurements
from diagnostics.services.captures import FileSent
from diagnostics.services.measurements import Taken
from tests.bench.caller import Case, Tablet, side_by_side, statements
from tests.bench.measures import Figures
from tests.bench.world import World
from tests.diagnostics.samples import FILES, TYPED, place_of
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
        _work_out(world, session, key)
    return reverse("work", args=[world.workshop.slug, session.pk])


def _work_out(world: World, session: Session, key: str) -> None:
    kind, typed = KINDS[key], TYPED[key]
    file = captures.read(FileSent("signal.csv", FILES[key]())) if key in FILES else None
    taken = Taken(kind, typed, read_typed(kind.fields, typed), place_of(key), file=file)
    measurements.record(world.crew.technician, session, act=uuid4(), taken=taken)
