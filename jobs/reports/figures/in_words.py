"""What a count, a rate, a share or a comparison says, in plain words with its limits.

No sentence is stronger than its numbers: limits stand beside every figure, fewer than five are
called few, and what chance alone would give is said before anything else is suspected.
"""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports.stats.comparing import Compared
from jobs.reports.stats.cusum import Threshold
from jobs.reports.stats.limits import Rate, Share
from shop.units import format_number

FEW: Final = 5
"""Fewer are called few: our own advice, from no source."""
_DIGITS: Final = 2
_LONGEST: Final = 50.0  # years; more than that is not told


def of_rate(rate: Rate | None, exposure: str, per: str) -> str:
    """A rate with what was counted and what fits it.

    exposure: in what it was counted, with its number ("412 unit-months"); per: what the rate is
    told for ("per hundred unit-months"), which `rate` must be already.
    """
    if rate is None:
        return _("Nothing was followed, so there is no rate.")
    if rate.count:
        text = ngettext(
            "%(count)s failure in %(exposure)s: %(rate)s %(per)s; true rates from %(low)s to "
            "%(high)s fit such a count.",
            "%(count)s failures in %(exposure)s: %(rate)s %(per)s; true rates from %(low)s to "
            "%(high)s fit such a count.",
            rate.count,
        )
    else:
        text = _("No failure in %(exposure)s; a true rate of up to %(high)s %(per)s fits that.")
    words = {
        "count": format_number(rate.count, decimals=0),
        "exposure": exposure,
        "rate": _short(rate.rate),
        "low": _short(rate.low),
        "high": _short(rate.high),
        "per": per,
    }
    return with_few(text % words, rate.count)


def of_share(share: Share | None) -> str:
    """A share with what was counted: "3 of 41 (7.3 %; 1.5 to 20 % fit that)"."""
    if share is None:
        return _("none to judge by")
    return _("%(count)s of %(of)s (%(share)s %%; %(low)s to %(high)s %% fit that)") % {
        "count": format_number(share.count, decimals=0),
        "of": format_number(share.of, decimals=0),
        "share": _short(100 * share.share),
        "low": _short(100 * share.low),
        "high": _short(100 * share.high),
    }


def with_few(sentence: str, count: int) -> str:
    """The sentence, and what must be added when it rests on fewer than five."""
    if count >= FEW:
        return sentence
    return _("%(sentence)s These are few: the next one may change the picture.") % {
        "sentence": sentence
    }


def chance(p: float) -> str:
    """How often chance alone shows as much where nothing differs: a p-value without its name."""
    if p < 0.001:
        return _("chance alone would show as much less than once in 1,000 times")
    if p >= 0.2:
        return _("chance alone often shows as much")
    text = (
        _("chance alone would show as much about once in %(times)s times")
        if p < 0.05
        else _("chance alone would show as much once in %(times)s times, which is not rare")
    )
    return text % {"times": format_number(round(1 / p), decimals=0)}


def of_comparison(found: Compared) -> str:
    """How often one fails for the other, with limits that agree with what is said of chance."""
    failed = found.count_1 + found.count_2
    if not failed:
        return _("Nothing failed on either side: there is nothing to compare.")
    words = {"chance": chance(found.p)}
    if found.low is not None:
        words["low"] = format_number(found.low, digits=3)
    if found.high is not None:
        words["high"] = format_number(found.high, digits=3)
    if found.ratio is None:
        text = _("Nothing failed on the other side: at least %(low)s times as often; %(chance)s.")
    elif found.ratio == 0:
        text = _("Nothing failed on this side: at most %(high)s times as often; %(chance)s.")
    else:
        words["ratio"] = format_number(found.ratio, digits=3)
        text = _("%(ratio)s times as often (%(low)s to %(high)s fit that); %(chance)s.")
    return with_few(text % words, failed)


def of_watch(found: Threshold) -> str:
    """What a watch costs in false alarms, and what it takes until it notices."""
    years = found.months_between / 12
    words = {
        "years": _short(min(years, _LONGEST)),
        "count": format_number(round(found.failures_to_call), decimals=0),
    }
    text = (
        _(
            "Without any change it calls about once in %(years)s years; the change it looks for "
            "is noticed after about %(count)s failures."
        )
        if years < _LONGEST
        else _(
            "Without any change it calls less than once in %(years)s years; the change it looks "
            "for is noticed after about %(count)s failures."
        )
    )
    return text % words


def _short(value: float) -> str:
    return format_number(value, digits=_DIGITS)
