"""A table that a page of the Office shows, as a file: whole, with values in place of words."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import Http404, HttpResponseBase

from jobs.reports import files
from jobs.reports.document import Section, Span
from shop.web import sheets
from shop.web.access import Request


def file_asked(
    request: Request, sections: Iterable[Section], span: Span
) -> HttpResponseBase | None:
    """The table named by ?table= as CSV; None where the page itself is asked for."""
    key = request.GET.get("table")
    if key is None:
        return None
    table = files.table_of(sections, key)
    if table is None:
        raise Http404
    return sheets.csv_answer(files.as_table(table), f"{named(request, span)}-{table.key}.csv")


def named(request: Request, span: Span) -> str:
    """How a file of live figures is called: by its workshop, and the last day it counts."""
    return f"{request.actor.workshop.slug}-{span.until:%Y-%m-%d}"
