"""How the figures of the report are worked out, in plain words, and where the ways come from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from jobs.reports.document import ReportTable, Span
from jobs.reports.monthly import measured
from jobs.reports.monthly.explained import Explained, explained


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
    said = (*explained(), *_care())
    return Method(counts, said, _sources(), measured.said(), measured.table())


def _care() -> tuple[Explained, ...]:
    return (
        Explained(
            _("What no figure here can show"),
            (
                _(
                    "Failures repaired elsewhere, or found, declined and never repaired here; "
                    "customers who stayed away because of a comeback; whether a unit was replaced "
                    "by somebody else before the first visit; and vehicles unlike those that come "
                    "to this workshop."
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
        _(
            "Age and failure: W. Weibull’s law with its limits by profile likelihood, after J. F. "
            "Lawless, Statistical Models and Methods for Lifetime Data."
        ),
        _("Two rates: J. Przyborowski and H. Wilenski, Biometrika 31 (1940)."),
        _(
            "Watch: J. M. Lucas, Technometrics 27 (1985); room for what is estimated: A. Gandy and "
            "J. T. Kvaløy (2013). Trend: D. R. Cox and P. A. W. Lewis (1966)."
        ),
        _("Funnel limits: D. J. Spiegelhalter, Statistics in Medicine 24 (2005)."),
        _(
            "Many at once: Benjamini and Hochberg, Journal of the Royal Statistical Society B 57 "
            "(1995)."
        ),
    )
