"""What every sheet of a job needs: the stub, the facts and the next step."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse, QueryDict
from django.urls import reverse

from jobs.models import RepairOrder
from jobs.next_step import NextStep, next_step
from jobs.queries.facts import facts_of
from jobs.queries.story import closing_of
from jobs.queries.stub import stub_of
from jobs.stages import CLOSED, Facts, Stage, rule_for
from shop.web.access import Request
from shop.web.forms import MoveForm
from shop.web.htmx import go, show


def sheet(
    request: Request,
    order: RepairOrder,
    template: str,
    *,
    current: str,
    partial: str = "sheet",
    facts: Facts | None = None,
    **context: Any,
) -> HttpResponse:
    """A sheet of a job, or its `sheet` partial; `current` is its name among the stub's links."""
    facts = facts or facts_of(order)
    stage = Stage(order.stage)
    step = next_step(stage, facts, request.actor.roles)
    common = {
        "order": order,
        "facts": facts,
        "stub": stub_of(request.actor, order, facts),
        "current": current,
        "is_open": stage not in CLOSED,
        "closing": closing_of(order) if stage in CLOSED else None,
        "next_step": step,
        "next_url": step_url(order, step),
        "next_rule": rule_for(step.move) if step.move else None,
    }
    return show(request, template, common | context, partial=partial)


def step_url(order: RepairOrder, step: NextStep) -> str:
    """Where the next step is done; empty when it is a move or a wait."""
    slug = order.workshop.slug
    if step.sheet == "session":
        return reverse("session", args=[slug, order.session_id])
    if step.sheet == "counter":
        return reverse("counter", args=[slug])
    return reverse(step.sheet, args=[slug, order.number]) if step.sheet else ""


def order_url(order: RepairOrder, name: str = "order") -> str:
    return reverse(name, args=[order.workshop.slug, order.number])


def renewed(form: MoveForm, order: RepairOrder) -> MoveForm:
    """The form as typed, with the revision that its person sees from now on."""
    order.refresh_from_db(fields=["revision"])
    typed = QueryDict(mutable=True)
    typed.update(form.data)
    typed["revision"] = str(order.revision)
    form.data = typed
    return form


def settled(request: Request, url: str, again: Callable[[], HttpResponse]) -> HttpResponse:
    """After an act: htmx gets the sheet as it stands now, a plain form is sent on to `url`.

    The address follows the sheet that is shown, so that a reload shows it again.
    """
    if not request.htmx:
        return go(request, url)
    response = again()
    response.headers["HX-Replace-Url"] = url
    return response
