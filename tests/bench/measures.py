"""What is measured: posting a reading, the pages of Desk and Counter, the two papers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field
from functools import partial
from typing import Any
from uuid import uuid4

from django.core.handlers.wsgi import WSGIHandler
from django.test import override_settings
from django.urls import reverse

from diagnostics.models import Phase, Procedure, ProcedureRun, Session, Step
from jobs.models import RepairOrder
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from tests.bench.caller import Application, Case, Environ, Tablet, side_by_side, statements
from tests.bench.databases import using
from tests.bench.world import World

POSTS = 300
DESKS = 30
PAPERS = 5
RUNS_READY = 500


@dataclass(slots=True)
class Figures:
    """Seconds (medians), and the number of SQL statements of one request."""

    seconds: dict[str, float] = field(default_factory=dict)
    statements: dict[str, int] = field(default_factory=dict)

    def as_dict(self) -> dict[str, dict[str, float]]:
        return asdict(self)


def with_no_middleware() -> WSGIHandler:
    with override_settings(MIDDLEWARE=[]):
        return WSGIHandler()


# ---------------------------------------------------------------- posting a reading


def posting(world: World, figures: Figures) -> None:
    """A resistance typed at a step of the checklist, until its verdict is there to be swapped in;
    against the bare view behind the same middleware, and with none."""
    product = WSGIHandler()
    tablet = Tablet(world.crew.technician)
    step, ready = _waiting_runs(world)

    def reading() -> Environ:
        run = next(ready)
        fields = {
            "act": uuid4(),
            "revision": run.revision,
            "step": step.pk,
            "value": "OL",
            "unit": "kohm",
            "temperature": "20",
            "note": "",
        }
        return tablet.post(reverse("run-step", args=[world.workshop.slug, run.pk]), fields)

    def bare() -> Environ:
        return tablet.post(reverse("bare"), {"workshop": world.workshop.pk, "value": "OL"})

    cases = [
        Case("reading", product, reading, "judgement--outside"),
        Case("bare, same middleware", product, bare, "<p>OL</p>"),
        Case("bare, no middleware", with_no_middleware(), bare, "<p>OL</p>"),
    ]
    figures.seconds |= side_by_side(cases, times=POSTS)
    figures.statements |= {case.name: statements(case) for case in cases}


def _waiting_runs(world: World) -> tuple[Step, Iterator[ProcedureRun]]:
    """Runs of the wheel-speed circuit, each waiting at the step that moves the harness."""
    order = RepairOrder.objects.filter(stage=Stage.DIAGNOSING).select_related("session").first()
    assert order is not None
    session: Session = order.session
    procedure = Procedure.objects.get(version=session.version, key="wheel_speed_circuit")
    step = procedure.steps.get(key="move_harness")
    made = ProcedureRun.objects.bulk_create(
        ProcedureRun(
            session=session,
            phase=Phase.AS_FOUND,
            at=clock.now(),
            by=world.crew.technician.user,
            procedure=procedure,
            corner="LR",
            current=step,
        )
        for _ in range(RUNS_READY)
    )
    return step, iter(made)


# ---------------------------------------------------------------- Desk and Counter


def desk(world: World, figures: Figures) -> None:
    """The whole page of the Desk, with few closed jobs and with many."""
    names = {"desk, few closed": "few", "desk, many closed": "default"}
    _with_few_and_many(world, figures, names, "desk", world.crew.manager, "ledger--desk")


def counter(world: World, figures: Figures) -> None:
    """The whole page of the Counter: the same open lines, few past movements and many."""
    names = {"counter, few moved": "few", "counter, many moved": "default"}
    _with_few_and_many(world, figures, names, "counter", world.crew.counter, 'id="counter"')


def ledger(world: World, figures: Figures) -> None:
    """The whole ledger of claims: the same year of claims, few of before and many."""
    names = {"ledger, few claims": "few", "ledger, many claims": "default"}
    _with_few_and_many(world, figures, names, "claim-ledger", world.crew.manager, 'id="owed"')


def _with_few_and_many(
    world: World,
    figures: Figures,
    aliases: dict[str, str],
    page: str,
    actor: Actor,
    must_say: str,
) -> None:
    product = WSGIHandler()
    tablets = {}
    for alias in aliases.values():
        with using(alias):
            tablets[alias] = Tablet(actor)
    path = reverse(page, args=[world.workshop.slug])

    cases = [
        Case(name, _on(alias, product), partial(tablets[alias].get, path), must_say)
        for name, alias in aliases.items()
    ]
    figures.seconds |= side_by_side(cases, times=DESKS, warm=5)
    figures.statements |= {one.name: statements(one, aliases[one.name]) for one in cases}


def _on(alias: str, application: Application) -> Application:
    """The application answering out of that database."""

    def elsewhere(environ: Environ, start_response: Callable[..., Any]) -> Any:
        with using(alias):
            return application(environ, start_response)

    return elsewhere


# ---------------------------------------------------------------- the papers


def papers(world: World, figures: Figures) -> None:
    """Each paper once to warm up, then several times: the job card, the finished repair order."""
    product = WSGIHandler()
    tablet = Tablet(world.crew.manager)
    for name in ("job-card", "repair-order-pdf"):
        path = reverse(name, args=[world.workshop.slug, world.closed.number])
        case = Case(name, product, partial(tablet.get, path), "%PDF")
        figures.seconds |= side_by_side([case], times=PAPERS, warm=1)
        figures.statements[name] = statements(case)
