"""The Hours of a month, and what is behind one person's figures."""

from __future__ import annotations

from datetime import date, timedelta

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpResponseBase
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from jobs.clocked import next_month
from jobs.models import ClockEntry
from jobs.queries import hours as queries
from jobs.queries.hours_chart import by_day_chart
from jobs.queries.labour_sold import sold_in
from shop import clock
from shop.models import User
from shop.queries.people import people_of
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import PER_PAGE, page_of

YEARS = range(1990, 2200)


@require_GET
@permit(Permit.SEE_HOURS)
def hours(request: Request) -> HttpResponseBase:
    actor, month = request.actor, month_asked(request)
    only = None if sees_all(request) else actor.user
    caught = queries.to_look_at(actor, only=only)
    context = {
        "month": queries.month_of(actor, month, only=only),
        "page": page_of(request, caught, per_page=10),
        "forgotten": queries.forgotten(actor) if only is None else (),
        "everybody": only is None,
        **neighbours(month),
    }
    return show(request, "jobs/hours/hours.html", context, partial="caught")


@require_GET
@permit(Permit.SEE_HOURS)
def person(request: Request, person: int) -> HttpResponseBase:
    """One person's month: the figures, and the entries or the sold work behind them."""
    user = person_asked(request, person)
    month = month_asked(request)
    span = queries.span_of(month)
    entries = queries.entries_of(request.actor, user, span)
    context = {
        "person": user,
        "row": queries.month_of(request.actor, month, only=user).total,
        "sold": request.GET.get("show") == "sold",
        **neighbours(month),
    }
    if context["sold"]:
        parts = [part for part in sold_in(request.actor.workshop, span) if part.user_id == user.pk]
        context["page"] = Paginator(parts, PER_PAGE).get_page(request.GET.get("page"))
    else:
        context["page"] = page = page_of(request, entries)
        context["entries"] = queries.rows_of(request.actor, list(page.object_list), span)
        context["chart"] = by_day_chart(request.actor, user, month)
    return show(request, "jobs/hours/person.html", context, partial="list")


def month_asked(request: Request) -> date:
    """The month in the address, or this one when there is none that makes sense."""
    try:
        month = date.fromisoformat(f"{request.GET.get('month', '')}-01")
    except ValueError:
        return clock.today().replace(day=1)
    return month if month.year in YEARS else clock.today().replace(day=1)


def neighbours(month: date) -> dict[str, date]:
    before = (month.replace(day=1) - timedelta(days=1)).replace(day=1)
    return {"this": month, "before": before, "after": next_month(month)}


def sees_all(request: Request) -> bool:
    """The service manager and the owner; a technician sees their own hours."""
    return request.actor.may(Permit.SEE_OFFICE)


def person_asked(request: Request, person: int) -> User:
    """Somebody of this workshop, now or when they clocked here; 403 for another's hours."""
    actor = request.actor
    if person != actor.user.pk and not sees_all(request):
        raise PermissionDenied(
            _("You see your own hours here. Those of others are for the service manager.")
        )
    user = people_of(actor).filter(pk=person).first()
    if user is None and ClockEntry.objects.of(actor).filter(user=person).exists():
        user = User.objects.get(pk=person)
    if user is None:
        raise Http404
    return user
