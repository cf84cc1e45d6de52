"""A report is made step by step: each is short, is kept when it is done, and can be tried again.

What takes long is worked out before the transaction that keeps it: two people who press at once
do the work twice at worst, and one of them keeps it.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from jobs.models import MonthlyReport, ReportMaking
from jobs.reports.monthly.issuing import NumberTaken
from jobs.reports.monthly.made import Made, from_text, to_text
from jobs.reports.monthly.months import may_be_issued, named, whole
from jobs.reports.monthly.steps import NothingChanged, Step, steps_of
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import User, Workshop
from shop.roles import Permit, Role
from shop.services import acts
from shop.services.rights import must

logger = logging.getLogger("stubaxle.reports")
LONGEST_REASON = 1000


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a making is: the words of its steps, how many are done, and whether all are."""

    making: ReportMaking
    steps: tuple[str, ...]

    @property
    def done(self) -> int:
        return min(self.making.step, len(self.steps))

    @property
    def finished(self) -> bool:
        return self.making.report_id is not None and self.done == len(self.steps)

    @property
    def next_words(self) -> str:
        return "" if self.finished else self.steps[self.done]


def progress_of(making: ReportMaking) -> Progress:
    return Progress(making, tuple(step.words for step in steps_of(making)))


def by_itself(workshop: Workshop) -> Actor:
    """Who makes a report when nobody does: the command at the month's end."""
    return Actor(User(), workshop, frozenset({Role.OWNER}))


@transaction.atomic
def begin(actor: Actor, *, act: UUID, month: date, because: str = "") -> ReportMaking:
    """Begin the report of a whole month, or join the one that is being made already.

    because: why one that was issued is corrected. Raises Refusal when the month cannot be issued,
    or was issued and no reason is given.
    """
    acts.claim(actor, act, "make report", sent=(month, because))
    must(actor, Permit.ISSUE_REPORT)
    return _begin(actor, month, because)


@transaction.atomic
def begin_by_itself(workshop: Workshop, month: date) -> ReportMaking:
    """The same for the command: never a revision."""
    return _begin(by_itself(workshop), month, "")


@transaction.atomic
def give_up(actor: Actor, *, act: UUID, making: ReportMaking) -> None:
    """Throw away what was made so far. Raises Refusal when it was issued meanwhile."""
    acts.claim(actor, act, "give up report", about=making)
    must(actor, Permit.ISSUE_REPORT)
    _give_up(making)


def step(actor: Actor, making: ReportMaking) -> Progress:
    """Do the next step and keep it; the same step sent twice is done once.

    A step that fails says why in `failed_because`, and may be tried again. Raises Refusal when the
    making was given up meanwhile, or when a revision would change nothing: that ends it.
    """
    must(actor, Permit.ISSUE_REPORT)
    steps = steps_of(making)
    if making.step < len(steps):
        _do(actor, making, steps[making.step])
    try:
        making.refresh_from_db()
    except ReportMaking.DoesNotExist as error:
        raise Refusal(_("Somebody gave this report up meanwhile. Begin it anew.")) from error
    return progress_of(making)


def _do(actor: Actor, making: ReportMaking, step: Step) -> None:
    try:
        made = step.do(actor, making, from_text(making.document))
    except NothingChanged:
        _give_up(making)
        raise
    except Refusal as refusal:
        _failed(making, refusal.sentence)
    except NumberTaken:
        _failed(making, _("Other reports are being issued in this moment. Go on in a minute."))
    except Exception:
        # A figure that cannot be worked out must not stop the page that says so.
        logger.exception("The report for %s: “%s” failed.", making, step.words)
        _failed(
            making,
            _(
                "“%(step)s” failed; the server’s log says why. What was made before is kept: go on "
                "to try it again, or give this report up."
            )
            % {"step": step.words},
        )
    else:
        if made is not None:
            _keep(making, made)


def _keep(making: ReportMaking, made: Made) -> None:
    """Only where nobody else has done the same step in between."""
    ReportMaking.objects.filter(pk=making.pk, step=making.step).update(
        step=making.step + 1, document=to_text(made), failed_because=""
    )


def _failed(making: ReportMaking, words: str) -> None:
    ReportMaking.objects.filter(pk=making.pk, step=making.step).update(failed_because=words)


@transaction.atomic
def _give_up(making: ReportMaking) -> None:
    row = ReportMaking.objects.select_for_update().filter(pk=making.pk).first()
    if row is None:
        return
    if row.report_id is not None:
        raise Refusal(_("It was issued meanwhile. An issued report stays; it can be revised."))
    row.delete()


def _begin(actor: Actor, month: date, because: str) -> ReportMaking:
    # Locked, so that of two who begin at once the second joins the first.
    Workshop.objects.select_for_update().get(pk=actor.workshop.pk)
    under_way = ReportMaking.objects.of(actor).filter(month=month, report__isnull=True)
    joined: ReportMaking | None = under_way.select_related("workshop", "begun_by").first()
    if joined is not None:
        _same_reason(joined, because)
        return joined
    may_be_issued(actor.workshop, month)
    begun: ReportMaking = ReportMaking.objects.create(
        workshop=actor.workshop,
        month=month,
        until=whole(month).until,
        begun_at=clock.now(),
        begun_by=actor.user if actor.user.pk else None,
        because=_a_reason(actor.workshop, month, because),
    )
    return begun


def _same_reason(joined: ReportMaking, because: str) -> None:
    """A reason that somebody else typed for the same revision must not vanish in silence."""
    if because.strip() in ("", joined.because):
        return
    raise Refusal(
        _(
            "%(who)s is revising this report already, because: “%(because)s” It stands among the "
            "monthly reports. Wait until it is issued and revise it, or give it up first."
        )
        % {"who": joined.begun_by or "Stubaxle", "because": joined.because},
        field="because",
    )


def _a_reason(workshop: Workshop, month: date, because: str) -> str:
    """Why it is made once more; nothing for the first of its month."""
    issued = MonthlyReport.objects.filter(workshop=workshop, month=month).order_by("-revision")
    latest, reason = issued.first(), because.strip()
    if latest is None:
        return ""
    if not reason:
        said = {"month": named(month), "number": latest.number}
        raise Refusal(
            _(
                "%(month)s was issued already, as %(number)s. To correct it, open it and say why "
                "it is revised."
            )
            % said,
            field="because",
        )
    if len(reason) > LONGEST_REASON:
        raise Refusal(_("At most %(most)s characters.") % {"most": LONGEST_REASON}, field="because")
    return reason
