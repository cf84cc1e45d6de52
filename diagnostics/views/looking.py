"""The lamps sheet and the flags sheet."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse, HttpResponseBase
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from diagnostics.forms.looking import (
    FIRST_ROWS,
    MOST_ROWS,
    BlankRow,
    ClearForm,
    FlagsForm,
    LampsForm,
    ReturnedForm,
)
from diagnostics.models import Session
from diagnostics.queries.flags import meaning_of, returned_in_words
from diagnostics.queries.memory import comparison
from diagnostics.queries.picture import picture
from diagnostics.queries.sessions import get_session
from diagnostics.services import flags as flag_service
from diagnostics.services import lamps as lamp_service
from diagnostics.views.sheet import session_url, sheet
from shop.roles import Permit
from shop.web.access import Request, permit, require
from shop.web.htmx import attempt, go, show
from shop.web.numbers import whole_number


@require_http_methods(["GET", "POST"])
@permit(Permit.SEE_WORKSHOP)
def lamps(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    if request.method == "GET":
        return _lamps_page(request, session, LampsForm())
    require(request, Permit.DIAGNOSE)
    form = LampsForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: lamp_service.record(
            request.actor, session, act=form.act_id, observations=form.observations()
        ),
        form,
    ):
        if request.htmx:
            return _lamps_page(request, session, LampsForm())
        return go(request, session_url(session, "lamps"))
    return _lamps_page(request, session, form)


def _lamps_page(request: Request, session: Session, form: LampsForm) -> HttpResponse:
    seen = picture(session)
    return sheet(
        request, session, "diagnostics/lamps.html", current="lamps", picture=seen, form=form
    )


@require_http_methods(["GET", "POST"])
@permit(Permit.SEE_WORKSHOP)
def flags(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    if request.method == "GET":
        return _flags_page(request, session)
    require(request, Permit.DIAGNOSE)
    form = FlagsForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: flag_service.record_read(
            request.actor,
            session,
            act=form.act_id,
            module=form.cleaned_data["module"],
            flags=form.given(),
            none_stored=form.cleaned_data["none_stored"],
            symptom=form.cleaned_data["symptom"],
        ),
        form,
    ):
        return _flags_settled(request, session)
    return _flags_page(request, session, form=form)


@require_POST
@permit(Permit.SEE_WORKSHOP)
def flags_preview(request: Request, pk: int) -> HttpResponseBase:
    """What was pasted, in words. Nothing is kept."""
    session = get_session(request.actor, pk)
    return _returned(request, session, ReturnedForm(request.POST))


@require_POST
@permit(Permit.DIAGNOSE)
def flags_returned(request: Request, pk: int) -> HttpResponseBase:
    """Keep what was pasted."""
    session = get_session(request.actor, pk)
    form = ReturnedForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: flag_service.record_returned(
            request.actor,
            session,
            act=form.act_id,
            module=form.cleaned_data["module"],
            returned=form.cleaned_data["returned"],
        ),
        form,
    ):
        return _flags_settled(request, session)
    return _flags_page(request, session, returned_form=form)


def _returned(request: Request, session: Session, form: ReturnedForm) -> HttpResponse:
    """The part that says what was pasted, or without htmx the whole sheet with it."""
    found = form.found if form.is_valid() else None
    context: dict[str, Any] = {
        "returned_form": form,
        "returned": returned_in_words(session.version, found) if found else None,
    }
    if not request.htmx:
        return _flags_page(request, session, **context)
    context |= {"session": session, "may_record": request.actor.may(Permit.DIAGNOSE)}
    return show(request, "diagnostics/parts/flag_returned.html", context)


@require_POST
@permit(Permit.DIAGNOSE)
def flags_clear(request: Request, pk: int) -> HttpResponseBase:
    session = get_session(request.actor, pk)
    form = ClearForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: flag_service.clear(
            request.actor, session, act=form.act_id, module=form.cleaned_data["module"]
        ),
        form,
    ):
        return _flags_settled(request, session)
    return _flags_page(request, session, clear_form=form)


def _flags_settled(request: Request, session: Session) -> HttpResponse:
    if request.htmx:
        return _flags_page(request, session)
    return go(request, session_url(session, "flags"))


def _flags_page(request: Request, session: Session, **given: Any) -> HttpResponse:
    rows = whole_number(request.GET.get("rows")) or FIRST_ROWS
    blank = {
        "form": FlagsForm(initial={"module": "brake control"}, rows=rows),
        "clear_form": ClearForm(),
        "returned_form": ReturnedForm(initial={"module": "brake control"}),
        "returned": None,
    }
    seen = picture(session)
    chosen = (whole_number(request.GET.get(name)) for name in ("before", "after"))
    return sheet(
        request,
        session,
        "diagnostics/flags.html",
        current="lamps",
        picture=seen,
        compared=comparison(seen.memory, *chosen),
        **(blank | given),
    )


@require_GET
@permit(Permit.SEE_WORKSHOP)
def flag_meaning(request: Request, pk: int) -> HttpResponseBase:
    """What the pages say of a code, while it is typed."""
    session = get_session(request.actor, pk)
    typed = next((text for name, text in request.GET.items() if name.startswith("code-")), "")
    meaning = meaning_of(session.version, str(typed)[:16], symptom="symptom" in request.GET)
    return show(request, "diagnostics/parts/meaning.html", {"meaning": meaning})


@require_GET
@permit(Permit.SEE_WORKSHOP)
def flag_row(request: Request, pk: int) -> HttpResponseBase:
    """One more row for a code."""
    session = get_session(request.actor, pk)
    number = whole_number(request.GET.get("number")) or 0
    if not 1 <= number <= MOST_ROWS:
        raise Http404
    context = {
        "row": BlankRow(number).row(),
        "session": session,
        "next_number": number + 1 if number < MOST_ROWS else None,
    }
    return show(request, "diagnostics/parts/flag_row.html", context)
