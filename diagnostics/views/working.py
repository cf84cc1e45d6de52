"""The sheet on which figures are worked out, its forms, and what came of them."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from diagnostics.forms.working import WorkingForm, replacing, working
from diagnostics.measurements.kept import typed_of
from diagnostics.measurements.registry import by_group
from diagnostics.models import Component, Measurement, Session
from diagnostics.queries.measurements import (
    get_capture,
    get_measurement,
    kind_or_404,
    measurements_of,
    replacement_of,
    seen_of,
)
from diagnostics.queries.picture import picture
from diagnostics.queries.sessions import get_run, get_session
from diagnostics.queries.steps import get_step
from diagnostics.services import captures
from diagnostics.services import measurements as service
from diagnostics.services.measurements import AtStep, Taken
from diagnostics.views.sheet import session_url, sheet
from shop.roles import Permit
from shop.web.access import Request, permit, require
from shop.web.htmx import attempt, go
from shop.web.numbers import whole_number
from shop.web.paging import page_of

PER_PAGE = 12


@require_GET
@permit(Permit.SEE_WORKSHOP)
def work(request: Request, pk: int) -> HttpResponseBase:
    """What can be worked out, and everything that was, latest first."""
    session = get_session(request.actor, pk)
    page = page_of(request, measurements_of(session), PER_PAGE)
    return sheet(
        request,
        session,
        "diagnostics/work.html",
        current="work",
        picture=picture(session),
        groups=by_group(),
        page=page,
        done=seen_of(page),
    )


@require_http_methods(["GET", "POST"])
@permit(Permit.DIAGNOSE)
def work_out(request: Request, pk: int, kind: str) -> HttpResponseBase:
    """One kind's form, and working it out. Sent from a step, the figure answers that step."""
    session = get_session(request.actor, pk)
    asked = kind_or_404(kind)
    if request.method == "GET":
        return _form_page(request, session, working(session, asked, initial=request.GET.dict()))
    at_step = _at_step(request, session)
    form = working(session, asked, data=request.POST, files=request.FILES, at_step=at_step)
    kept: list[Measurement] = []
    done = form.is_valid() and attempt(
        request,
        lambda: kept.append(
            service.record(
                request.actor,
                session,
                act=form.act_id,
                taken=_taken(form, at_step.step.component if at_step else None),
                at_step=at_step,
            )
        ),
        form,
    )
    if not done:
        return _form_page(request, session, form, at_step=at_step)
    if at_step is not None:
        return go(request, session_url(session, run=at_step.run.pk, step=at_step.step.pk))
    return go(request, _url_of(request, session, kept))


@require_GET
@permit(Permit.SEE_WORKSHOP)
def measurement(request: Request, pk: int) -> HttpResponseBase:
    """One measurement as it was worked out, with its pictures."""
    row = get_measurement(request.actor, pk)
    return sheet(
        request,
        row.session,
        "diagnostics/measurement.html",
        current="work",
        picture=picture(row.session),
        one=seen_of([row])[0],
        stands=replacement_of(row),
    )


@require_http_methods(["GET", "POST"])
@permit(Permit.DIAGNOSE)
def replace(request: Request, pk: int) -> HttpResponseBase:
    """Put a measurement right, or work it out anew with what is computed today."""
    row = get_measurement(request.actor, pk)
    session, kind = row.session, kind_or_404(row.kind)
    if request.method == "GET":
        form = replacing(row, kind, initial=typed_of(row.typed))
        return _form_page(request, session, form, replaced=row)
    form = replacing(row, kind, data=request.POST, files=request.FILES)
    kept: list[Measurement] = []
    done = form.is_valid() and attempt(
        request,
        lambda: kept.append(
            service.replace(
                request.actor,
                row,
                act=form.act_id,
                taken=_taken(form, row.component),
                because=form.cleaned_data["because"],
            )
        ),
        form,
    )
    if not done:
        return _form_page(request, session, form, replaced=row)
    return go(request, _url_of(request, session, kept))


@require_GET
@permit(Permit.SEE_WORKSHOP)
def capture(request: Request, pk: int) -> HttpResponseBase:
    """The instrument's file, byte for byte as it was sent."""
    row = get_capture(request.actor, pk)
    response = HttpResponse(captures.content_of(row), content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="capture-{row.pk}.csv"'
    return response


def _form_page(
    request: Request,
    session: Session,
    form: WorkingForm,
    *,
    at_step: AtStep | None = None,
    replaced: Measurement | None = None,
) -> HttpResponse:
    context: dict[str, Any] = {
        "picture": picture(session),
        "work": form,
        "kind": form.kind,
        "at_step": at_step,
        "replaced": replaced,
    }
    return sheet(request, session, "diagnostics/work_out.html", current="work", **context)


def _taken(form: WorkingForm, component: Component | None) -> Taken:
    """What the form holds; a file is read here, so that its mistakes stand beside it."""
    assert form.given is not None
    sent = form.sent()
    return Taken(
        kind=form.kind,
        typed=form.typed(),
        given=form.given,
        position=form.position,
        component=component,
        file=captures.read(*sent) if sent else None,
        note=form.cleaned_data["note"],
    )


def _at_step(request: Request, session: Session) -> AtStep | None:
    """The step that the form was shown at; None when it was opened by itself."""
    numbers = [whole_number(request.POST.get(name, "")) for name in ("run", "step", "revision")]
    if numbers[0] is None and "run" not in request.POST:
        return None
    run_pk, step_pk, revision = numbers
    if run_pk is None or step_pk is None or revision is None:
        raise Http404
    require(request, Permit.DIAGNOSE)
    run = get_run(request.actor, run_pk)
    step = get_step(run, step_pk)
    if step is None or run.session_id != session.pk:
        raise Http404
    return AtStep(run, step, revision)


def _url_of(request: Request, session: Session, kept: list[Measurement]) -> str:
    """The result; the whole sheet when the same act was recorded before."""
    if not kept:
        return session_url(session, "work")
    return reverse("measurement", args=[request.actor.workshop.slug, kept[0].pk])
