"""The checklist sheet: one step at a time, and the acts on a run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import Http404, HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_POST

from diagnostics.forms.measuring import AnswerForm, BeginForm, CornerForm, SkipForm, StepForm
from diagnostics.forms.working import working
from diagnostics.measurements.registry import KINDS
from diagnostics.models import Procedure, ProcedureRun, Session, Step, StepResult
from diagnostics.queries.picture import Picture, picture
from diagnostics.queries.sessions import get_run, get_run_to_answer, get_session
from diagnostics.queries.steps import RunShown, answered_now, get_step, run_shown
from diagnostics.services import runs
from diagnostics.services.measurements import AtStep
from diagnostics.views.sheet import place_name, session_url, sheet, stub_for
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import attempt, go, show
from shop.web.numbers import whole_number

PAGE = "diagnostics/checklist.html"


@require_GET
@permit(Permit.SEE_WORKSHOP)
def checklist(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    return page(request, session)


def page(
    request: Request,
    session: Session,
    *,
    run: ProcedureRun | None = None,
    step_pk: int | None = None,
    **context: Any,
) -> HttpResponse:
    """The sheet at a step, or the choice of what to work through when no run is in hand."""
    stub = stub_for(request, session)
    seen = picture(session, stub.systems)
    asked = request.GET
    if run is None and "lists" not in asked:
        run = _run_in_hand(request, seen, asked.get("run", ""))
    shown = None
    if run is not None:
        shown = run_shown(
            run, request.actor.user, step_pk=step_pk or whole_number(asked.get("step"))
        )
    return sheet(
        request,
        session,
        PAGE,
        current="session",
        stub=stub,
        picture=seen,
        shown=shown,
        again="again" in asked,
        **_working(session, shown),
        **_around(seen, shown, asked.get("place", "")),
        **({"form": None, "skip_form": None, "corner_form": None} | context),
    )


def _working(session: Session, shown: RunShown | None) -> dict[str, Any]:
    """The form of the measurement that the step in hand asks for."""
    if shown is None or shown.step is None:
        return {}
    kind = KINDS.get(shown.step.works_out)
    step = get_step(shown.run, shown.step.pk) if kind else None
    if kind is None or step is None:
        return {}
    at_step = AtStep(shown.run, step, shown.run.revision)
    return {"work": working(session, kind, at_step=at_step), "at_step": at_step}


def _run_in_hand(request: Request, seen: Picture, asked: str) -> ProcedureRun | None:
    """The run asked for, else the last one not finished; None when there is none."""
    chosen = [one for one in seen.runs if str(one.pk) == asked] or [
        one for one in seen.runs if not one.finished and one.phase == seen.session.phase
    ]
    return get_run(request.actor, chosen[-1].pk) if chosen else None


def _around(seen: Picture, shown: RunShown | None, place: str) -> dict[str, Any]:
    """The plan of the car and the earlier readings, as they belong beside this step."""
    step = shown.step if shown else None
    corner = shown.run.corner if shown else ""
    about = step.quantity_key if step else ""
    link = session_url(
        seen.session, run=shown.run.pk if shown else "", step=step.pk if step else ""
    )
    plan = seen.plan(
        suspect=corner,
        now=place or (step.position if step else ""),
        about=about,
        link=f"{link}{'&' if '?' in link else '?'}place=",
    )
    if place in plan:
        earlier = [one for one in seen.readings if one.place == place]
    else:
        earlier = [one for one in seen.readings if about and one.what == about]
    return {"plan": plan, "place_name": place_name(place), "earlier": earlier[::-1]}


@require_POST
@permit(Permit.DIAGNOSE)
def begin(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    form = BeginForm(request.POST)
    if not form.is_valid():
        raise Http404
    lists = Procedure.objects.filter(version=session.version, pk=form.cleaned_data["procedure"])
    procedure = lists.first()
    if procedure is None:
        raise Http404
    attempt(
        request,
        lambda: runs.begin(request.actor, session, act=form.act_id, procedure=procedure),
        form,
    )
    return _settled(request, session, begin_form=form)


@require_POST
@permit(Permit.DIAGNOSE)
def answer(request: Request, pk: int) -> HttpResponseBase:
    """Answer a step. A measured value gets its verdict in a small part, the rest follows."""
    run = get_run_to_answer(request.actor, pk)
    form = AnswerForm(request.POST)
    step = _step(run, form)
    kept: list[StepResult] = []
    done = form.is_valid() and attempt(
        request,
        lambda: kept.append(
            runs.answer(
                request.actor, run, act=form.act_id, step=step, answer=form.answer(), **_seen(form)
            )
        ),
        form,
    )
    if not done:
        run = _fresh(request, run)
        return page(request, run.session, run=run, step_pk=step.pk, form=form)
    if not request.htmx:
        return go(request, session_url(run.session, run=run.pk, step=step.pk))
    shown = answered_now(run, step, *kept)
    if shown.leads_straight_on:
        run = _fresh(request, run)
        return page(request, run.session, run=run)
    context = {"shown": shown, "session": run.session, "may_record": True}
    response = show(request, PAGE, context, partial="answered")
    # Only the step changes at once; the plan and the trail follow by themselves.
    response.headers["HX-Retarget"] = "#step"
    response.headers["HX-Reswap"] = "innerHTML"
    response.headers["HX-Trigger"] = "recorded"
    return response


@require_POST
@permit(Permit.DIAGNOSE)
def acknowledge(request: Request, pk: int) -> HttpResponseBase:
    run = get_run(request.actor, pk)
    form = StepForm(request.POST)
    step = _step(run, form)
    return _act(
        request,
        run,
        form,
        lambda: runs.acknowledge(request.actor, run, act=form.act_id, step=step, **_seen(form)),
        step_pk=None if step.kind == Step.Kind.CAUTION else step.pk,
    )


@require_POST
@permit(Permit.DIAGNOSE)
def skip(request: Request, pk: int) -> HttpResponseBase:
    run = get_run(request.actor, pk)
    form = SkipForm(request.POST)
    step = _step(run, form)
    return _act(
        request,
        run,
        form,
        lambda: runs.skip(
            request.actor,
            run,
            act=form.act_id,
            step=step,
            because=form.cleaned_data["because"],
            **_seen(form),
        ),
        name="skip_form",
    )


@require_POST
@permit(Permit.DIAGNOSE)
def back(request: Request, pk: int) -> HttpResponseBase:
    run = get_run(request.actor, pk)
    form = StepForm(request.POST)
    step = _step(run, form)
    return _act(
        request,
        run,
        form,
        lambda: runs.back(request.actor, run, act=form.act_id, step=step, **_seen(form)),
    )


@require_POST
@permit(Permit.DIAGNOSE)
def corner(request: Request, pk: int) -> HttpResponseBase:
    run = get_run(request.actor, pk)
    form = CornerForm(request.POST)
    return _act(
        request,
        run,
        form,
        lambda: runs.choose_corner(
            request.actor,
            run,
            act=form.act_id,
            corner=form.cleaned_data["corner"],
            **_seen(form),
        ),
        name="corner_form",
    )


def _act(
    request: Request,
    run: ProcedureRun,
    form: forms.Form,
    do: Callable[[], object],
    *,
    step_pk: int | None = None,
    name: str = "form",
) -> HttpResponse:
    """Do it and show the step that is next; when refused, the same step with what was typed."""
    if form.is_valid() and attempt(request, do, form):
        if not request.htmx:
            return go(request, session_url(run.session, run=run.pk, step=step_pk))
        return page(request, run.session, run=_fresh(request, run), step_pk=step_pk)
    refused: dict[str, Any] = {name: form}
    return page(request, run.session, run=_fresh(request, run), **refused)


def _settled(request: Request, session: Session, **context: Any) -> HttpResponse:
    if request.htmx:
        return page(request, session, **context)
    return go(request, session_url(session))


def _fresh(request: Request, run: ProcedureRun) -> ProcedureRun:
    """The run as it stands now: another tablet may have moved it meanwhile."""
    return get_run(request.actor, run.pk)


def _step(run: ProcedureRun, form: forms.Form) -> Step:
    number = whole_number(str(form.data.get("step", "")))
    step = get_step(run, number) if number else None
    if step is None:
        raise Http404
    return step


def _seen(form: forms.Form) -> dict[str, int]:
    return {"revision": form.cleaned_data["revision"]}
