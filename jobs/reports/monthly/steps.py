"""The steps of a report: its sections, what changed, the charts, both papers, the issue."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from django.utils.translation import gettext as _

from jobs.models import ReportMaking
from jobs.reports import frozen, office
from jobs.reports.document import Report, Span
from jobs.reports.findings import chosen
from jobs.reports.monthly import issuing, mailing
from jobs.reports.monthly.changes import changes
from jobs.reports.monthly.made import Made
from jobs.reports.monthly.paper import Paper, draw, pdf_of
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Workshop

Do = Callable[[Actor, ReportMaking, Made], Made | None]
A4, LETTER = Workshop.Paper.A4.value, Workshop.Paper.LETTER.value


class NothingChanged(Refusal):
    """A revision would say what was said before: there is nothing to issue."""


@dataclass(frozen=True, slots=True)
class Step:
    """`do` gives what is made then; None when it keeps it itself, as the issue does."""

    words: str
    do: Do


def steps_of(making: ReportMaking) -> tuple[Step, ...]:
    """The steps in their order. The mail is one where a server and an address are set."""
    steps = [
        Step(_("Count what had happened by the month’s last day"), _count),
        Step(_("Hold it against what was issued before"), _compare),
        Step(_("Draw the charts"), _draw),
        Step(_("Set the paper in A4"), partial(_set, A4)),
        Step(_("Set the paper in US Letter"), partial(_set, LETTER)),
        Step(_("Number it and keep it"), _issue),
    ]
    if mailing.recipients(making.workshop):
        steps.append(Step(_("Mail it"), _mail))
    return tuple(steps)


def report_of(making: ReportMaking, made: Made) -> Report:
    span = Span(making.month, making.until)
    return Report(making.workshop.name, span, chosen(made.sections), made.sections)


def paper_of(making: ReportMaking, made: Made) -> Paper:
    return Paper(
        report_of(making, made),
        issued_as=made.number,
        at=made.at,
        counted_at=made.counted_at,
        by=str(making.begun_by or ""),
        revises=issuing.latest_of(making),
        because=making.because,
        changed=made.changed,
    )


def _count(actor: Actor, making: ReportMaking, made: Made) -> Made:
    """All figures in one go: counted on two days, they would be of the books of two days."""
    at = clock.now()
    sections = office.sections(actor, Span(making.month, making.until))
    return replace(made, sections=sections, counted_at=at)


def _compare(actor: Actor, making: ReportMaking, made: Made) -> Made:
    """Raises NothingChanged when a revision would read like the report it revises."""
    revises = issuing.latest_of(making)
    if revises is None:
        return made
    before = frozen.from_json(revises.paper.document)
    changed = changes(before, report_of(making, made))
    if not changed:
        raise NothingChanged(
            _(
                "Nothing has changed since %(number)s was issued: every sentence and figure "
                "would be the same. No revision was issued."
            )
            % {"number": revises.number}
        )
    return replace(made, changed=changed)


def _draw(actor: Actor, making: ReportMaking, made: Made) -> Made:
    draw(report_of(making, made))
    return made


def _set(sheet: str, actor: Actor, making: ReportMaking, made: Made) -> Made:
    """The first of both papers takes the number that is due, and now."""
    if not made.papers:
        number = issuing.coming_number(making.workshop)
        made = replace(made, number=number, at=clock.now())
    pdf = pdf_of(making.workshop, paper_of(making, made), sheet=sheet)
    return replace(made, papers=(*made.papers, (sheet, pdf)))


def _issue(actor: Actor, making: ReportMaking, made: Made) -> Made | None:
    """Keeps it. When another report took its number the papers are made anew: back two steps."""
    try:
        issuing.issue(actor, making, made, report_of(making, made))
    except issuing.NumberTaken:
        anew = replace(made, number="", at=None, papers=())
        for sheet in (A4, LETTER):
            anew = _set(sheet, actor, making, anew)
        issuing.issue(actor, making, anew, report_of(making, anew))
    return None


def _mail(actor: Actor, making: ReportMaking, made: Made) -> Made:
    if making.report is not None:
        mailing.mail(making.report)
    return made
