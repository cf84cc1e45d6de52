"""Who is there when: a person's week, and the days on which they are not."""

from __future__ import annotations

from django.http import Http404, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from jobs.forms.hours import AbsenceForm, WeekForm
from jobs.models import Absence
from jobs.queries.clock import weeks_of
from jobs.queries.hours import absences_of
from jobs.services import working_hours
from jobs.views.hours import person_asked
from shop.models import User
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_http_methods(["GET", "POST"])
@permit(Permit.CORRECT_CLOCK)
def week(request: Request, person: int) -> HttpResponseBase:
    user = person_asked(request, person)
    if request.method == "GET":
        return _page(request, user)
    form = WeekForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: working_hours.set_week(request.actor, act=form.act_id, user=user, week=form.week()),
        form,
    ):
        return go(request, _url(request, user))
    return _page(request, user, week_form=form)


@require_POST
@permit(Permit.CORRECT_CLOCK)
def away(request: Request, person: int) -> HttpResponseBase:
    user = person_asked(request, person)
    form = AbsenceForm(request.POST)
    if form.is_valid():
        data = dict(form.cleaned_data)
        if attempt(
            request, lambda: working_hours.add_absence(request.actor, user=user, **data), form
        ):
            return go(request, _url(request, user))
    return _page(request, user, absence_form=form)


@require_POST
@permit(Permit.CORRECT_CLOCK)
def there(request: Request, pk: int) -> HttpResponseBase:
    """An absence is taken off again; one that is gone already is as good."""
    row = Absence.objects.of(request.actor).select_related("user").filter(pk=pk).first()
    if row is None:
        raise Http404
    form = ActForm(request.POST)
    if form.is_valid():
        attempt(
            request,
            lambda: working_hours.remove_absence(request.actor, act=form.act_id, absence=row),
        )
    return go(request, _url(request, row.user))


def _page(
    request: Request,
    user: User,
    week_form: WeekForm | None = None,
    absence_form: AbsenceForm | None = None,
) -> HttpResponse:
    known = weeks_of(request.actor.workshop, [user.pk]).get(user.pk, {})
    context = {
        "person": user,
        "week_form": week_form or WeekForm(week=known),
        "absence_form": absence_form or AbsenceForm(),
        "page": page_of(request, absences_of(request.actor, user), per_page=10),
    }
    return show(request, "jobs/hours/week.html", context, partial="away")


def _url(request: Request, user: User) -> str:
    return reverse("working-hours", args=[request.actor.workshop.slug, user.pk])
