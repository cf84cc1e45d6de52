"""The watch in sentences: alarms, what they cost, trends, and what it cannot show."""

from __future__ import annotations

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.reports import weights
from jobs.reports.document import Finding, Way
from jobs.reports.figures.failure_words import jobs_of, p_words
from jobs.reports.figures.watched import LEAST_FAILURES, Change, Family, Picture, Watched
from jobs.reports.findings import matter
from jobs.reports.queries.watch import Group
from jobs.reports.stats.trend import Trend
from jobs.reports.watching import MONTHS_BETWEEN
from shop.units import format_number


def said(day: date) -> str:
    return date_format(day, "j F Y")


def name_of(group: Group) -> str:
    if not group.batch:
        return group.name
    words = {"batch": group.batch, "supplier": group.supplier, "component": group.name}
    if group.supplier:
        return _("%(component)s, batch %(batch)s of %(supplier)s") % words
    return _("%(component)s, batch %(batch)s") % words


def way_of(found: Picture, group: Group) -> Way:
    """To the failed units of a kind or a batch."""
    return jobs_of(group.key, found.span.until, **_narrowed(group))


def way_of_alarm(found: Picture, one: Watched) -> Way:
    """To those alone that an alarm counted: known since the watch began to rise from nought."""
    since = found.day(one.course.began).isoformat()
    return jobs_of(one.group.key, found.span.until, **_narrowed(one.group), since=since)


def _narrowed(group: Group) -> dict[str, str]:
    if not group.batch:
        return {}
    return {"batch": group.batch, "supplier": group.supplier}


def alarm(found: Picture, one: Watched) -> str:
    """An alarm that stands, with its counts and its days."""
    raised = one.course.raised
    assert raised is not None
    return ngettext(
        "%(what)s: %(count)d failure since %(since)s, when the watch began to rise, where up to "
        "%(usual)s would be usual; the alarm was raised on %(raised)s.",
        "%(what)s: %(count)d failures since %(since)s, when the watch began to rise, where up to "
        "%(usual)s would be usual; the alarm was raised on %(raised)s.",
        one.course.seen,
    ) % {
        "what": name_of(one.group),
        "count": one.course.seen,
        "since": said(found.day(one.course.began)),
        "usual": format_number(one.course.usual, decimals=1),
        "raised": said(found.day(raised)),
    }


def sentences(found: Picture) -> tuple[str, ...]:
    if not found.all:
        return (_nothing_watched(found),)
    alarms = tuple(alarm(found, one) for one in found.standing)
    return (
        *(alarms or (_no_alarm(found),)),
        *_not_watched(found),
        *_cost(found),
        *pooled(found.pooled),
    )


def findings(found: Picture) -> tuple[Finding, ...]:
    """Alarms that stand, trends that are clear, and what is said where there is neither."""
    alarms = tuple(_alarm_finding(found, one) for one in found.standing)
    calling = {one.group.key for one in found.standing}
    trends = tuple(
        _trend_finding(found, one)
        for one in found.changes
        if is_clear(one) and one.group.key not in calling
    )
    return (*alarms, *trends, _nothing_new(found))


def is_clear(one: Change) -> bool:
    """A trend that stands out among those of all kinds, of failures enough."""
    return one.adjusted is not None and one.adjusted < 0.05 and one.trend.events >= LEAST_FAILURES


def pooled(trend: Trend) -> tuple[str, ...]:
    """How all kinds together go; nothing where there are too few failures."""
    if trend.direction == "too_few":
        return ()
    words = {
        "worsening": _(
            "All components together fail more and more often for the time they are "
            "watched (%(events)d failures, pooled Laplace test, p %(p)s)."
        ),
        "improving": _(
            "All components together fail less and less often for the time they are "
            "watched (%(events)d failures, pooled Laplace test, p %(p)s)."
        ),
        "no_change": _(
            "All components together show no trend that the numbers can tell from "
            "chance (%(events)d failures, pooled Laplace test, p %(p)s)."
        ),
    }[trend.direction]
    return (words % {"events": trend.events, "p": p_words(trend.p)},)


def limits() -> tuple[str, ...]:
    return (
        _(
            "On each day a unit counts by how likely it is that a vehicle unseen for so long still "
            "comes here, as nobody knew on that day which would; so these figures are a little "
            "other than those of the failures, which know who came again. A failure counts on the "
            "day on which it was known: that of the fitting. What failed and was repaired "
            "elsewhere is not seen, and what had failed at the first visit is left out."
        ),
        _(
            "A kind is held against its own earlier rate here: that of its own first year, later "
            "of all its time up to half a year before. A batch is held against all other units of "
            "its kind up to that day. What is called usual is the rate that chance could have "
            "hidden then: four times in five the true one lies below."
        ),
        _(
            "Failures that come in pairs, as two wheels of one vehicle do, raise false alarms "
            "more often than stated. A rate may also rise because vehicles grow older, not "
            "because parts grew worse: see the age at failure. A batch is watched whatever its "
            "age: where units fail early, one that was fitted lately calls sooner than stated, and "
            "where they wear out, later. Among the failures it is held against others of its age."
        ),
        _(
            "The level rises by one with each failure and falls with the failures that would be "
            "usual; it is made to find a rate twice as high (Poisson CUSUM, J. M. Lucas 1985)."
        ),
    )


def _nothing_watched(found: Picture) -> str:
    if not found.unwatched:
        return _(
            "Nothing is watched yet. It begins by itself: with vehicles that come a second time, "
            "and with units that are fitted with the batch on their label."
        )
    return " ".join(
        (
            _("No kind of component is watched yet."),
            *_not_watched(found),
            _("A batch is watched as soon as one of its units was fitted."),
        )
    )


def _not_watched(found: Picture) -> tuple[str, ...]:
    """Kinds that nobody watches yet, by name, and from when on somebody will; batches by number."""
    last = found.span.until.toordinal() - found.first_day
    young = [one for one in found.unwatched if one.year_over > last]
    few = [one for one in found.unwatched if one.year_over <= last]
    says = []
    if young:
        says.append(
            _("Not watched yet, for their first year here is not over: %(names)s.")
            % {
                "names": "; ".join(
                    _("%(what)s (on %(day)s)")
                    % {"what": one.group.name, "day": said(found.day(one.year_over))}
                    for one in young
                )
            }
        )
    if few:
        says.append(
            _(
                "Not watched, for fewer than ten units of theirs were watched for a year, or none "
                "in the last year: %(names)s."
            )
            % {"names": "; ".join(one.group.name for one in few)}
        )
    if found.batches_unwatched:
        says.append(
            ngettext(
                "%(count)d batch is not watched: none of its units, or no other unit of its kind, "
                "was watched in the last year.",
                "%(count)d batches are not watched: none of their units, or no other unit of "
                "their kind, was watched in the last year.",
                found.batches_unwatched,
            )
            % {"count": found.batches_unwatched}
        )
    return tuple(says)


def _no_alarm(found: Picture) -> str:
    most = max(found.all, key=lambda one: one.course.level / found.height_of(one))
    if not most.course.level:
        return ngettext(
            "No alarm stands; %(count)d watch stands at nought.",
            "No alarm stands; all %(count)d watches stand at nought.",
            len(found.all),
        ) % {"count": len(found.all)}
    return ngettext(
        "No alarm stands in the %(count)d watch there is: %(what)s, at %(level)s of %(height)s.",
        "No alarm stands in any of %(count)d watches. Nearest to one is %(what)s, at %(level)s of "
        "%(height)s.",
        len(found.all),
    ) % {
        "count": len(found.all),
        "what": name_of(most.group),
        "level": format_number(most.course.level, decimals=1),
        "height": format_number(found.height_of(most), decimals=1),
    }


def _cost(found: Picture) -> tuple[str, ...]:
    """How many look at once, and what that costs in false alarms."""
    says = []
    if found.kinds.watches:
        count = len(found.kinds.watches)
        words = ngettext(
            "%(count)d kind of component is watched: if nothing changed, a false alarm would come "
            "about once in %(months)d months.",
            "%(count)d kinds of components are watched: if nothing changed, one of them would "
            "raise a false alarm about once in %(months)d months.",
            count,
        )
        says.append(words % {"count": count, "months": _between(found.kinds)})
    if found.batches.watches:
        count = len(found.batches.watches)
        words = ngettext(
            "%(count)d batch is watched, with a false alarm about once in %(months)d months.",
            "%(count)d batches are watched: one of them would raise a false alarm about once in "
            "%(months)d months.",
            count,
        )
        says.append(words % {"count": count, "months": _between(found.batches)})
    return tuple(says)


def _between(family: Family) -> int:
    between = family.height.months_between if family.height else MONTHS_BETWEEN
    return min(round(between), 600)


def _alarm_finding(found: Picture, one: Watched) -> Finding:
    group = one.group
    share = 1.0 if found.is_new(one) else 0.5
    weight = weights.ALARM + share * weights.more(one.course.seen)
    about = matter(kind=group.key, supplier=group.supplier, batch=group.batch)
    return Finding(_key(group), alarm(found, one), weight, way_of_alarm(found, one), about)


def _key(group: Group) -> str:
    """The keys of the failures' own findings, so that a batch or a kind is spoken of once."""
    if group.batch:
        return f"failures-{group.key}-{group.supplier}-{group.batch}"
    return f"rate-{group.key}"


def _trend_finding(found: Picture, one: Change) -> Finding:
    worse = one.trend.direction == "worsening"
    text = (
        _(
            "%(what)s fails more and more often for the time it is watched: %(events)d failures, "
            "p %(p)s among all components. Vehicles that grow older may be the reason."
        )
        if worse
        else _(
            "%(what)s fails less and less often for the time it is watched: %(events)d "
            "failures, p %(p)s among all components."
        )
    )
    words = text % {
        "what": one.group.name,
        "events": one.trend.events,
        "p": p_words(one.adjusted or 0.0),
    }
    weight = weights.TREND + weights.more(one.trend.events) * (1.0 if worse else 0.5)
    way = jobs_of(one.group.key, found.span.until)
    about = matter(kind=one.group.key)
    return Finding(f"trend:{one.group.key}", words, weight, way, about)


def _nothing_new(found: Picture) -> Finding:
    height = found.kinds.height
    if height is None:
        text = _(
            "Nothing can be said of changes yet: there is too little behind the numbers. They are "
            "kept from the first day, and sentences stand here as soon as one is justified."
        )
    else:
        text = _(
            "Nothing changed in this month that the numbers can show. Kinds of components under "
            "watch: %(watched)d of %(all)d; one of these that began to fail twice as often would "
            "be noticed after about %(count)d failures."
        ) % {
            "all": len(found.kinds.watches) + len(found.unwatched),
            "watched": len(found.kinds.watches),
            "count": round(height.failures_to_call),
        }
    return Finding("nothing-new", text, weights.NOTHING_NEW)
