"""How the figures of the report are worked out, in plain words, and where the ways come from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Span
from jobs.reports.monthly import measured


@dataclass(frozen=True, slots=True)
class Explained:
    """One thing of the method: its name, and what is to be known of it."""

    name: str
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Method:
    counts: str
    explained: tuple[Explained, ...]
    sources: tuple[str, ...]
    held: str  # how often limits held the truth, in words and as a table
    measured: ReportTable


def method_of(span: Span, counted_at: datetime) -> Method:
    """The method page of a report over this span, of the books as they were at that moment."""
    counts = _(
        "Counted is what had happened by %(until)s, as the books stood on %(counted)s, all figures "
        "at once. What is entered later is left out until a revision is issued."
    ) % {
        "until": date_format(span.until, "j F Y"),
        "counted": date_format(localtime(counted_at), "j F Y, H:i"),
    }
    explained = (*_lives(), *_figures(), *_comparisons(), *_returns(), *_care())
    return Method(counts, explained, _sources(), measured.said(), measured.table())


def _lives() -> tuple[Explained, ...]:
    return (
        Explained(
            _("A unit and its life"),
            (
                _(
                    "Every unit at every place of a known vehicle is watched, also those that "
                    "nobody touched: from the day the vehicle first came here, or the unit was "
                    "fitted here, to the day the unit failed, was replaced for another reason, or "
                    "the watching ended."
                ),
                _(
                    "A unit that was on the vehicle when it first came has lived before. It counts "
                    "from the age at which we first saw it, and never as if it had been watched "
                    "since it was new."
                ),
            ),
        ),
        Explained(
            _("How long a vehicle is followed"),
            (
                _(
                    "We know that a unit held only as long as the vehicle comes back. After its "
                    "last visit a vehicle is followed for some more days, the same for all, worked "
                    "out from the gaps between visits here, and never beyond the last day counted."
                ),
                _(
                    "Ending at the last visit makes failures look too frequent, because a failing "
                    "vehicle ends its own watch; ending today makes them look too rare. Both are "
                    "shown as a bracket, where they matter."
                ),
            ),
        ),
        Explained(
            _("Failures found at the first visit"),
            (
                _(
                    "A vehicle that first came because a unit had failed was chosen by that "
                    "failure. Such failures are counted apart and are in no rate."
                ),
            ),
        ),
    )


def _figures() -> tuple[Explained, ...]:
    return (
        Explained(
            _("Rates and their limits"),
            (
                _(
                    "A rate is failures over the time or distance watched. Its limits are exact "
                    "for counts (Garwood, 95 %): were the same shop to live the same years again "
                    "by luck, about 95 of 100 such pairs of limits would hold the true rate. No "
                    "failure is not a rate of nought: the upper limit says how high it may be."
                ),
            ),
        ),
        Explained(
            _("Still sound at an age"),
            (
                _(
                    "The curve of what is still sound is worked out step by step among the units "
                    "that were being watched at each age (Kaplan and Meier). It begins where at "
                    "least ten are watched, and says so. Units that left for another reason are "
                    "neither sound nor failed: they only stop being watched."
                ),
                _(
                    "From five failures on, a Weibull law is fitted. A shape below one means that "
                    "early failures die out, one that age does not matter, above one that units "
                    "wear out; it is called unclear when its limits hold one."
                ),
            ),
        ),
    )


def _comparisons() -> tuple[Explained, ...]:
    return (
        Explained(
            _("Two rates held against each other"),
            (
                _(
                    "p is the chance of a split of the failures at least as uneven as this one if "
                    "both rates were equal: the smaller tail, with half of the chance of exactly "
                    "this split, doubled. Other definitions give somewhat other numbers. A small p "
                    "is a reason to look, and no proof."
                ),
            ),
        ),
        Explained(
            _("People and parts"),
            (
                _(
                    "Nobody is ranked. Each is held against limits inside which luck alone would "
                    "keep them, widened where all vary more than luck; when many are looked at, "
                    "the limits allow for it (Benjamini and Hochberg). Cells too small to judge "
                    "say so. Lying outside is a question to ask, and no verdict."
                ),
            ),
        ),
        Explained(
            _("The watch over batches"),
            (
                _(
                    "For each component and batch a sum rises with every failure and falls with "
                    "time on the road (CUSUM). It calls out when it passes its limit; how often it "
                    "calls without cause stands beside it. The day shown is the day on which it "
                    "would have called with what was known then."
                ),
            ),
        ),
    )


def _returns() -> tuple[Explained, ...]:
    return (
        Explained(
            _("A comeback"),
            (
                _(
                    "A return within the workshop’s window of days and distance, about the same "
                    "component or system, is proposed as a comeback; a person decides and gives "
                    "the cause. Until then it counts, so that not deciding makes nothing look "
                    "better. What was not ours or unrelated does not count."
                ),
                _(
                    "The share that stayed away is worked out at 30, 90 and 365 days among the "
                    "repairs that can be followed so far. Last month’s repairs have not had time "
                    "to come back and are never counted as good for that."
                ),
            ),
        ),
    )


def _care() -> tuple[Explained, ...]:
    return (
        Explained(
            _("What no figure here can show"),
            (
                _(
                    "Failures repaired elsewhere; customers who stayed away because of a comeback; "
                    "whether a unit was replaced by somebody else before the first visit; and "
                    "vehicles unlike those that come to this workshop."
                ),
            ),
        ),
        Explained(
            _("What the figures are for"),
            (
                _(
                    "They advise. Whether a vehicle is safe, a part is withheld or a person is "
                    "spoken to is decided by a qualified person who looks at the jobs themselves. "
                    "The vehicle maker’s service information, local law and licensed practice "
                    "come first."
                ),
            ),
        ),
    )


def _sources() -> tuple[str, ...]:
    return (
        _(
            "Limits of counts: F. Garwood, Biometrika 28 (1936). Of shares: Clopper and Pearson, "
            "Biometrika 26 (1934)."
        ),
        _("Survival: Kaplan and Meier, Journal of the American Statistical Association 53 (1958)."),
        _("Units repaired again and again: J. F. Lawless and C. Nadeau, Technometrics 37 (1995)."),
        _("Months in service: Kalbfleisch, Lawless and Robinson, Technometrics 33 (1991)."),
        _("Watch: J. M. Lucas, Technometrics 27 (1985)."),
        _("Funnel limits: D. J. Spiegelhalter, Statistics in Medicine 24 (2005)."),
        _(
            "Many at once: Benjamini and Hochberg, Journal of the Royal Statistical Society B 57 "
            "(1995)."
        ),
    )
