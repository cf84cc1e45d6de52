"""Each way of counting of the report, in plain words for an owner."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Explained:
    """One thing of the method: its name, and what is to be known of it."""

    name: str
    says: tuple[str, ...]


def explained() -> tuple[Explained, ...]:
    """In the order in which a report is read."""
    return (*_lives(), *_figures(), *_comparisons(), *_returns())


def _lives() -> tuple[Explained, ...]:
    return (_unit(), _followed(), _first_visits())


def _unit() -> Explained:
    return Explained(
        _("A unit and its life"),
        (
            _(
                "Every unit at every place of a vehicle of a known platform is watched, also those "
                "that nobody touched: from the day the vehicle first came here, or the unit was "
                "fitted here, to the day on which the vehicle was taken in with it failed, the "
                "unit left for another reason, or the watching ended. Time is counted in "
                "unit-months: four hubs of one vehicle, watched for a month, are four."
            ),
            _(
                "A unit that was on the vehicle when it first came has lived before. It counts "
                "from the age at which we first saw it, and never as if it had been watched "
                "since it was new."
            ),
        ),
    )


def _followed() -> Explained:
    return Explained(
        _("How long a vehicle is followed"),
        (
            _(
                "We know that a unit held only as long as the vehicle comes back. After its last "
                "visit a vehicle is followed for some more days, the same for all, worked out from "
                "the gaps between visits here, and never beyond the last day counted."
            ),
            _(
                "Ending at the last visit makes failures look too frequent, because a failing "
                "vehicle ends its own watch; ending at the last day counted makes them look too "
                "rare. Rates by either stand beside ours as the highest and the lowest."
            ),
        ),
    )


def _first_visits() -> Explained:
    return Explained(
        _("Failures found at the first visit"),
        (
            _(
                "A vehicle that first came because a unit had failed was chosen by that failure. "
                "Such failures are counted apart and are in no rate, also where the repair was "
                "declined then and done at a later visit."
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
                    "least ten are watched, and says so; where fewer than five are left, nothing "
                    "is told. Units that left for another reason are neither sound nor failed: "
                    "they only stop being watched."
                ),
                _(
                    "From five failures on, a Weibull law is fitted. Where its shape lies below "
                    "one with all its limits, early failures die out; where all lie above, units "
                    "wear out. Limits that hold one, and neither a half nor two, mean that age "
                    "matters little; all else is left open."
                ),
            ),
        ),
    )


def _comparisons() -> tuple[Explained, ...]:
    return (_two_rates(), _screened(), _watched())


def _two_rates() -> Explained:
    return Explained(
        _("Two rates held against each other"),
        (
            _(
                "p is the chance of a split of the failures at least as uneven as this one if both "
                "rates were equal: the smaller tail, with half of the chance of exactly this "
                "split, doubled. Other definitions give somewhat other numbers. Where many are "
                "looked at, p is raised for that (Benjamini and Hochberg). A small p is a reason "
                "to look, and no proof."
            ),
        ),
    )


def _screened() -> Explained:
    return Explained(
        _("People and parts"),
        (
            _(
                "Nobody is ranked. Expected is what all repairs of the same kind of work, followed "
                "for as long, would bring; each is then held against all the others. Workmanship "
                "counts with who fitted, a wrong diagnosis and a fault that was not found with who "
                "named the cause, a part with its supplier, and what is undecided with each."
            ),
            _(
                "How often units of a supplier or batch fail is held against the others of the "
                "kind at the same ages since they were fitted: equal ones that wear out would "
                "otherwise stand out for having been on longer."
            ),
            _(
                "Whether one differs is judged by its p, raised for how many are looked at; a "
                "point just beyond a drawn limit may be chance. From ten on, if all differ by more "
                "than luck, more is asked of each. Fewer than one expected, or fewer than five in "
                "all, are too few to judge, and say so. Standing out is a question to ask, and no "
                "verdict."
            ),
        ),
    )


def _watched() -> Explained:
    return Explained(
        _("The watch over components and batches"),
        (
            _(
                "For each component and batch a sum rises with every failure, on the day on which "
                "it was known, and falls with the time watched, each vehicle counted by how many "
                "customers unseen for so long still come (CUSUM). Usual is, of a component, its "
                "own earlier rate; of a batch, the rate of all other units of the kind; with room "
                "for what chance may have hidden in it."
            ),
            _(
                "It calls out when the sum passes its limit; how often it would without cause "
                "stands beside it. The day shown is the day on which it could have called with the "
                "failures known then; how many customers still come is worked out of all visits. "
                "Whether failures come more and more often is tried on the clock of the time "
                "watched, so that a growing fleet is no change (Laplace)."
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
                    "repairs that can be followed so far, and told no further than the window "
                    "reaches: beyond it nothing is proposed, so nothing would seem to come back. "
                    "Last month’s repairs have not had time to come back and are never "
                    "counted as good for that. The last ninety days "
                    "are held against the time before by all that was proposed in either, whatever "
                    "was decided since: what is young has not been decided yet."
                ),
            ),
        ),
    )
