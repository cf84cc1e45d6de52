"""The fitting sheet: cautions first, then each unit off and on."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_POST

from jobs.cautions import FIRST
from jobs.forms.fitting import FitForm, SerialsForm
from jobs.queries import fitting as queries
from jobs.queries.orders import get_order
from jobs.services import fitting as services
from jobs.services import serials
from jobs.stages import Stage
from jobs.views.sheet import order_url, settled, sheet
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt


@require_GET
@permit(Permit.SEE_WORKSHOP)
def fitting(request: Request, number: str) -> HttpResponseBase:
    return page(request, number)


def page(
    request: Request,
    number: str,
    bound: dict[int, FitForm] | None = None,
    corrected: dict[int, SerialsForm] | None = None,
) -> HttpResponse:
    """The sheet as it stands now; `bound` and `corrected` are forms to show again, by assembly."""
    order = get_order(request.actor, number)
    found = queries.sheet(request.actor, order)
    repairing = Stage(order.stage) is Stage.REPAIRING and request.actor.may(Permit.FIT)
    lines: list[dict[str, Any]] = []
    for line in found.lines:
        form = (bound or {}).get(line.replacement.pk)
        if form is None and repairing and found.cautions_read and line.here:
            form = _form(line)
        again = (corrected or {}).get(line.replacement.pk)
        right = again
        if right is None and line.fitted and request.actor.may(Permit.EDIT_VEHICLE):
            right = SerialsForm(replacement=line.replacement)
        opened = f"serials-{line.replacement.pk}" if again else ""
        lines.append({"line": line, "form": form, "serials": right, "opened": opened})
    return sheet(
        request,
        order,
        "jobs/fitting.html",
        current="fitting",
        fitting=found,
        lines=lines,
        repairing=repairing,
        first=FIRST,
    )


@require_POST
@permit(Permit.FIT)
def cautions(request: Request, number: str) -> HttpResponseBase:
    order = get_order(request.actor, number)
    form = ActForm(request.POST)
    if form.is_valid():
        attempt(
            request,
            lambda: services.acknowledge(request.actor, act=form.act_id, order=order),
        )
    return _done(request, number)


@require_POST
@permit(Permit.FIT)
def fit(request: Request, number: str, pk: int) -> HttpResponseBase:
    line = _line(request, number, pk)
    form = _form(line, request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        data.pop("no_serial")
        if attempt(
            request,
            lambda: services.fit(request.actor, replacement=line.replacement, **data),
            form,
        ):
            return _done(request, number)
    return page(request, number, {pk: form})


@require_POST
@permit(Permit.EDIT_VEHICLE)
def correct_serials(request: Request, number: str, pk: int) -> HttpResponseBase:
    row = _line(request, number, pk).replacement
    form = SerialsForm(request.POST, replacement=row)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(request, lambda: serials.correct(request.actor, replacement=row, **data), form):
            return _done(request, number)
    return page(request, number, corrected={pk: form})


def _line(request: Request, number: str, pk: int) -> queries.FittingLine:
    order = get_order(request.actor, number)
    for line in queries.sheet(request.actor, order).lines:
        if line.replacement.pk == pk:
            return line
    raise Http404


def _form(line: queries.FittingLine, data: Any = None) -> FitForm:
    recorded = bool(line.on_record and line.on_record.serial_number)
    return FitForm(data, replacement=line.replacement, recorded=recorded, kept=line.kept)


def _done(request: Request, number: str) -> HttpResponse:
    order = get_order(request.actor, number)
    return settled(request, order_url(order, "fitting"), lambda: page(request, number))
