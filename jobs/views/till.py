"""The Till: what is to be billed, what is owed, and what a day brought in."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_GET

from jobs.cautions import BEFORE_DRIVING, FIRST
from jobs.forms.payments import DayForm
from jobs.models import Invoice
from jobs.queries import borne as others
from jobs.queries import invoices as documents
from jobs.queries import till as queries
from jobs.queries.as_issued import Heading, Sender, sender_of
from shop import clock
from shop.roles import Permit
from shop.web import pdf
from shop.web.access import Request, permit
from shop.web.htmx import show
from shop.web.paging import page_of

FEW = 15  # of each list on one page


@require_GET
@permit(Permit.SEE_BILL)
def till(request: Request) -> HttpResponseBase:
    """The page number pages the list that `list` names; the others show their beginning."""
    form, which = DayForm(request.GET), request.GET.get("list", "")
    day = (form.is_valid() and form.cleaned_data["day"]) or clock.today()
    rows = {
        "bill": queries.unbilled(request.actor),
        "owed": queries.owed(request.actor),
        "borne": others.borne(request.actor),
    }
    only = which if which in rows else ""
    pages = {
        name: page_of(request, found, FEW) if only in ("", name) else None
        for name, found in rows.items()
    }
    context = {
        "only": only,
        "unbilled": pages["bill"],
        "owed": pages["owed"],
        "borne": pages["borne"],
        "borne_rows": others.borne_rows(pages["borne"] or ()),
        "borne_sum": others.borne_altogether(request.actor),
        "owed_sum": queries.owed_altogether(request.actor),
        "back": queries.to_pay_back(request.actor)[:FEW],
        "day": queries.day_of(request.actor, day),
        "day_form": DayForm(request.GET) if form.errors else DayForm(initial={"day": day}),
        "today": clock.today(),
    }
    return show(request, "jobs/till.html", context)


@require_GET
@permit(Permit.SEE_BILL)
def day_list(request: Request, day: str) -> HttpResponseBase:
    try:
        which = date.fromisoformat(day)
    except ValueError:
        raise Http404 from None
    workshop = request.actor.workshop
    context = {
        "workshop": workshop,
        "order": Heading(f"{which:%Y-%m-%d}", ""),
        "paper": queries.day_of(request.actor, which),
        "printed": clock.now(),
        "by": request.actor.user,
    }
    paper = pdf.chosen_paper(request.GET.get("paper"), workshop)
    return pdf.answer(pdf.make("print/day.html", context, paper=paper), f"day-{which}.pdf")


@require_GET
@permit(Permit.SEE_BILL)
def paper(request: Request, number: str) -> HttpResponseBase:
    """An invoice or credit note, from its own rows alone."""
    found = documents.get_invoice(request.actor, number)
    invoice = found.kind == Invoice.Kind.INVOICE
    context = {
        "workshop": sender_of(found),
        "order": Heading(found.order.number, found.plate),
        "paper": documents.document_of(found),
        "first": FIRST,
        "before_driving": BEFORE_DRIVING,
    }
    template = "print/invoice.html" if invoice else "print/credit_note.html"
    size = pdf.chosen_paper(request.GET.get("paper"), found.workshop)
    return pdf.answer(pdf.make(template, context, paper=size), f"{found.number}.pdf")


@require_GET
@permit(Permit.SEE_BILL)
def receipt(request: Request, number: str) -> HttpResponseBase:
    found = documents.get_payment(request.actor, number)
    sender: Sender = sender_of(found.invoice)
    context = {
        "workshop": sender,
        "order": Heading(found.number, found.invoice.plate),
        "paper": found,
    }
    size = pdf.chosen_paper(request.GET.get("paper"), found.workshop)
    return pdf.answer(pdf.make("print/receipt.html", context, paper=size), f"{found.number}.pdf")
