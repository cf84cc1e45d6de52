"""An issued report goes out by mail, where a mail server is set; the issue never waits for it."""

from __future__ import annotations

import logging
from smtplib import SMTPException
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.models import MonthlyReport
from jobs.reports import frozen
from jobs.reports.document import Finding
from jobs.reports.monthly.months import named
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Workshop
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

logger = logging.getLogger("stubaxle.reports")


def mail_is_set() -> bool:
    return bool(settings.EMAIL_HOST)


def recipients(workshop: Workshop) -> tuple[str, ...]:
    """Who gets this workshop's reports, by the settings; nobody without a mail server."""
    if not mail_is_set():
        return ()
    given = [one.rpartition("=") for one in settings.REPORTS_TO]
    return tuple(address for slug, _equals, address in given if slug in ("", workshop.slug))


def checked(addresses: list[str]) -> tuple[str, ...]:
    """The addresses. Raises Refusal for one that is none."""
    for address in addresses:
        try:
            validate_email(address)
        except ValidationError as error:
            raise Refusal(
                _("“%(address)s” is no e-mail address.") % {"address": address}
            ) from error
    return tuple(addresses)


def mail_again(actor: Actor, *, act: UUID, report: MonthlyReport) -> str:
    """The same, pressed by a person. Raises Refusal when they may not."""
    with transaction.atomic():
        acts.claim(actor, act, "mail report", about=report)
        must(actor, Permit.ISSUE_REPORT)
    return mail(report)


def mail(report: MonthlyReport, to: tuple[str, ...] = ()) -> str:
    """Send it, and keep to whom. Empty when it went out; otherwise why it did not, in a sentence.

    to: in place of the addresses of the settings.
    """
    addresses = to or recipients(report.workshop)
    if not mail_is_set():
        return _("Not mailed: no mail server is set.")
    if not addresses:
        return _("Not mailed: no address is set for the reports of this workshop.")
    try:
        _message(report, addresses).send()
    except (OSError, SMTPException) as error:
        logger.warning("%s was not mailed: %s", report.number, error)
        return _("Not mailed: the mail server did not take it. The server’s log says why.")
    MonthlyReport.objects.filter(pk=report.pk).update(mailed_to=", ".join(addresses))
    report.refresh_from_db(fields=["mailed_to"])
    return ""


def _message(report: MonthlyReport, addresses: tuple[str, ...]) -> EmailMessage:
    said = {
        "workshop": report.workshop.name,
        "month": named(report.month),
        "number": report.number,
    }
    paper = report.paper
    pdf = paper.letter if report.workshop.paper == Workshop.Paper.LETTER else paper.a4
    message = EmailMessage(
        subject=_("%(workshop)s: report for %(month)s (%(number)s)") % said,
        body=_body(report, frozen.from_json(paper.document).findings),
        to=list(addresses),
    )
    message.attach(f"{report.number}.pdf", bytes(pdf), "application/pdf")
    return message


def _body(report: MonthlyReport, findings: tuple[Finding, ...]) -> str:
    lines = [_("What may be worth your time this month:"), ""]
    lines += [f"- {one.words}" for one in findings]
    lines += ["", _("The whole report is attached. Its limits stand beside its figures.")]
    if report.revises:
        lines[:0] = [
            _("This revises %(number)s: %(because)s")
            % {"number": report.revises.number, "because": report.because},
            "",
        ]
    return "\n".join(lines) + "\n"
