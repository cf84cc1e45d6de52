"""Finding a session, a run or a reading of one's own workshop.

Each is ordered by its own pk: by default one row would be sorted by the orderings of the models
it points at, which takes Django as long as the whole query.
"""

from __future__ import annotations

from django.http import Http404

from diagnostics.models import ProcedureRun, Reading, Session
from shop.actor import Actor


def get_session(actor: Actor, pk: int) -> Session:
    """With its vehicle and pages. Raises Http404 for a stranger's, as if it did not exist."""
    session: Session | None = (
        Session.objects.of(actor)
        .select_related("vehicle__platform", "version__platform", "workshop")
        .filter(pk=pk)
        .order_by("pk")
        .first()
    )
    if session is None:
        raise Http404
    return session


def get_run(actor: Actor, pk: int) -> ProcedureRun:
    """With its session, list and current step. Raises Http404 for a stranger's."""
    run = (
        ProcedureRun.objects.select_related(
            "session__vehicle__platform",
            "session__version__platform",
            "session__workshop",
            "procedure",
            "current",
        )
        .filter(pk=pk, session__workshop=actor.workshop)
        .order_by("pk")
        .first()
    )
    if run is None:
        raise Http404
    return run


def get_run_to_answer(actor: Actor, pk: int) -> ProcedureRun:
    """With what answering its current step needs and no more: this is what a tablet does most.

    Raises Http404 for a stranger's.
    """
    run = (
        ProcedureRun.objects.select_related(
            "session", "procedure", "current__quantity", "current__component__system"
        )
        .filter(pk=pk, session__workshop=actor.workshop)
        .order_by("pk")
        .first()
    )
    if run is None:
        raise Http404
    run.session.workshop = actor.workshop
    return run


def get_reading(actor: Actor, pk: int) -> Reading:
    """With its session, quantity and limit. Raises Http404 for a stranger's."""
    reading = (
        Reading.objects.select_related(
            "session__vehicle__platform",
            "session__version__platform",
            "session__workshop",
            "quantity",
            "component",
            "limit",
        )
        .filter(pk=pk, session__workshop=actor.workshop)
        .order_by("pk")
        .first()
    )
    if reading is None:
        raise Http404
    return reading
