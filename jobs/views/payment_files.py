"""Payers' files: taking one, looking through its lines, booking them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.claims.payment_file import SPLIT
from jobs.claims.payment_text import MOST_BYTES, NAMES
from jobs.forms.claim_money import COLUMNS, AsideForm, FileForm, SettleForm
from jobs.forms.claim_pay import SPLIT_WORDS
from jobs.models import PaymentFile, PaymentRow
from jobs.queries import payment_files as queries
from jobs.services import claim_payments
from shop.roles import Permit
from shop.web.access import Request, permit
from shop.web.forms import ActForm
from shop.web.htmx import attempt, go, show
from shop.web.paging import page_of


@require_GET
@permit(Permit.SEE_CLAIMS)
def files(request: Request) -> HttpResponseBase:
    page = page_of(request, queries.files_of(request.actor))
    return show(request, "jobs/payment_files.html", {"page": page}, partial="list")


@require_http_methods(["GET", "POST"])
@permit(Permit.PREPARE_CLAIM)
def take(request: Request) -> HttpResponseBase:
    if request.method == "GET":
        return _take_page(request, FileForm(request.actor))
    form = FileForm(request.actor, request.POST, request.FILES)
    taken: list[PaymentFile] = []
    if form.is_valid():
        data = form.cleaned_data
        given = {"act": form.act_id, "payer": data["payer"], "name": data["file"].name}

        def take_it() -> None:
            taken.append(
                claim_payments.take_file(request.actor, raw=form.raw, told=form.told, **given)
            )

        if attempt(request, take_it, form):
            messages.success(request, _("The file is taken. Nothing is booked yet."))
            return go(request, _taken_url(request, taken))
    return _take_page(request, form)


@require_GET
@permit(Permit.SEE_CLAIMS)
def file(request: Request, pk: int) -> HttpResponseBase:
    found = queries.get_file(request.actor, pk)
    shown = request.GET.get("show", "")
    context = {
        "file": found,
        "parts": queries.parts_of(found),
        "shown": shown if shown in queries.SHOWN else "",
        "page": page_of(request, queries.rows_of(found, shown)),
    }
    return show(request, "jobs/payment_file.html", context, partial="list")


@require_POST
@permit(Permit.PREPARE_CLAIM)
def book(request: Request, pk: int) -> HttpResponseBase:
    found, form = queries.get_file(request.actor, pk), ActForm(request.POST)
    said: list[tuple[int, int]] = []

    def book_them() -> None:
        said.append(claim_payments.book_matched(request.actor, act=form.act_id, file=found))

    if form.is_valid() and attempt(request, book_them):
        for booked, left in said:
            _say(request, booked, left)
    return go(request, _url(request, "payment-file", found.pk))


@require_http_methods(["GET", "POST"])
@permit(Permit.PREPARE_CLAIM)
def row(request: Request, pk: int) -> HttpResponseBase:
    found = queries.get_row(request.actor, pk)
    if request.method == "GET":
        return _row_page(request, found)
    form = SettleForm(request.actor, request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: claim_payments.settle_row(request.actor, row=found, **form.cleaned_data),
        form,
    ):
        messages.success(request, _("The line is booked."))
        return go(request, _url(request, "payment-file", found.file_id))
    return _row_page(request, queries.get_row(request.actor, pk), settle=form)


@require_POST
@permit(Permit.PREPARE_CLAIM)
def aside(request: Request, pk: int) -> HttpResponseBase:
    found, form = queries.get_row(request.actor, pk), AsideForm(request.POST)
    if form.is_valid() and attempt(
        request,
        lambda: claim_payments.set_aside(request.actor, row=found, **form.cleaned_data),
        form,
    ):
        messages.success(request, _("The line is set aside. It counts nothing."))
        return go(request, _url(request, "payment-file", found.file_id))
    return _row_page(request, queries.get_row(request.actor, pk), aside=form)


def _say(request: Request, booked: int, left: int) -> None:
    done = ngettext("%(number)s line is booked.", "%(number)s lines are booked.", booked)
    messages.success(request, done % {"number": booked})
    if left:
        rest = ngettext(
            "%(number)s was not: less is owed now than when the file was taken.",
            "%(number)s were not: less is owed now than when the file was taken.",
            left,
        )
        messages.warning(request, rest % {"number": left})


def _take_page(request: Request, form: FileForm) -> HttpResponseBase:
    context = {
        "form": form,
        "columns": [(NAMES[key], words) for key, words in COLUMNS],
        "payers": queries.payers_of(request.actor).exists(),
        "most": MOST_BYTES // 2**20,
    }
    return show(request, "jobs/payment_file_take.html", context)


def _row_page(
    request: Request,
    found: PaymentRow,
    settle: SettleForm | None = None,
    aside: AsideForm | None = None,
) -> HttpResponseBase:
    guess = {"claim": found.claim.number if found.claim else ""}
    context = {
        "row": found,
        "owed": queries.owed_of(found.claim) if found.claim else None,
        "settle": settle or SettleForm(request.actor, initial=guess),
        "aside": aside or AsideForm(),
        "split": [(SPLIT_WORDS[name], getattr(found, name)) for name in SPLIT],
    }
    return show(request, "jobs/payment_row.html", context)


def _taken_url(request: Request, taken: list[PaymentFile]) -> str:
    if taken:
        return _url(request, "payment-file", taken[0].pk)
    return _url(request, "payment-files")  # sent twice: it stands first in the list


def _url(request: Request, name: str, *args: object) -> str:
    return reverse(name, args=[request.actor.workshop.slug, *args])
