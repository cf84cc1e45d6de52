"""The accounts, taken out for a bookkeeper: one page, and the files that it offers."""

from __future__ import annotations

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.forms.accounts import SpanForm, this_month
from jobs.queries.accounts import MOST_IN_A_BOOK, TABLES, Kept, Span, counts, kept
from shop.roles import Permit
from shop.web import sheets
from shop.web.access import Request, permit
from shop.web.htmx import show


@require_GET
@permit(Permit.TAKE_ACCOUNTS)
def accounts(request: Request) -> HttpResponseBase:
    form = _asked(request)
    span = form.span() if form.is_valid() else None
    found = counts(request.actor, span) if span else ()
    context = {
        "form": form,
        "span": span,
        "tables": TABLES,
        "counts": found,
        "most": MOST_IN_A_BOOK,
        "too_many": _too_many(found),
    }
    return show(request, "jobs/accounts.html", context)


@require_GET
@permit(Permit.TAKE_ACCOUNTS)
def accounts_csv(request: Request, table: str) -> HttpResponseBase:
    wanted, form = kept(table), _asked(request)
    if wanted is None:
        raise Http404
    if not form.is_valid():
        return accounts(request, workshop=request.actor.workshop.slug)
    span = form.span()
    return sheets.csv_answer(
        wanted.table(request.actor, span), _name(request, wanted.key, span, "csv")
    )


@require_GET
@permit(Permit.TAKE_ACCOUNTS)
def accounts_book(request: Request) -> HttpResponseBase:
    form = _asked(request)
    if not form.is_valid() or _too_many(counts(request.actor, form.span())):
        return accounts(request, workshop=request.actor.workshop.slug)
    span = form.span()
    tables = (one.table(request.actor, span) for one in TABLES)
    return sheets.book_answer(tables, _name(request, "accounts", span, "xlsx"))


def _too_many(found: tuple[tuple[Kept, int], ...]) -> bool:
    """Whether a workbook of these rows would keep the server busy for too long."""
    return sum(count for _table, count in found) > MOST_IN_A_BOOK


def _asked(request: Request) -> SpanForm:
    """The span that was asked for; this month when none was."""
    if "first" in request.GET or "last" in request.GET:
        return SpanForm(request.GET)
    span = this_month()
    return SpanForm({"first": span.first.isoformat(), "last": span.last.isoformat()})


def _name(request: Request, what: str, span: Span, ending: str) -> str:
    return f"{request.actor.workshop.slug}-{what}-{span.first}-{span.last}.{ending}"
