"""Answering a page, a part of it, or a redirect: views never branch on htmx themselves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from shop.errors import AlreadyDone, Refusal
from shop.queries.acts import was_this
from shop.web.access import Request


def show(
    request: Request,
    template: str,
    context: dict[str, Any] | None = None,
    *,
    partial: str | None = None,
    status: int = 200,
) -> HttpResponse:
    """The whole page, or only `partial` of it when htmx asks for a part."""
    asks_part = (
        request.htmx and not request.htmx.boosted and not request.htmx.history_restore_request
    )
    if partial and asks_part:
        template = f"{template}#{partial}"
    return render(request, template, context or {}, status=status)


def go(request: Request, url: str) -> HttpResponse:
    """After an act: on to another page (303, so that reload sends nothing again)."""
    if request.htmx:
        return HttpResponse(status=200, headers={"HX-Redirect": url})
    response = HttpResponseRedirect(url)
    response.status_code = 303
    return response


def attempt(request: Request, do: Callable[[], object], form: forms.Form | None = None) -> bool:
    """Run an act. True when it is done, now or by an earlier sending of the same UUID.

    A UUID that stands for another kind of act, for another thing, or for somebody else's act is
    refused.

    A refusal goes beside its field when the form has it, to the form's top when it has not, and
    to the page's messages when there is no form.
    """
    try:
        do()
    except AlreadyDone as done:
        if was_this(request.actor, done):
            return True
        refusal = Refusal(
            "Nothing was recorded: this form was sent once already for something else. "
            "Load the page again, then do it anew."
        )
    except Refusal as said:
        refusal = said
    else:
        return True
    if form is None:
        messages.error(request, refusal.sentence)
    else:
        field = refusal.field if refusal.field in form.fields else None
        form.add_error(field, refusal.sentence)
    return False
