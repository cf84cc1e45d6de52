"""Deciding what kind of return it is, and putting one in by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from jobs.models import CauseClass, Repair
from jobs.services.comebacks import LONGEST
from shop.web.forms import ActForm, MoveForm

MEANS = {
    CauseClass.WORKMANSHIP: _("The repair was the right one and was not done well."),
    CauseClass.PART: _("The part that was fitted failed, or was the wrong one in the box."),
    CauseClass.WRONG_DIAGNOSIS: _("Something else was at fault than what was repaired."),
    CauseClass.NOT_FOUND: _("The fault comes and goes and was not found the first time."),
    CauseClass.NOT_OURS: _("The same trouble, from a cause that our repair had no part in."),
    CauseClass.UNRELATED: _("Another trouble; it only came soon after."),
}


def _reason() -> forms.CharField:
    return forms.CharField(
        label=_("What that rests on"),
        max_length=LONGEST,
        widget=forms.Textarea({"rows": 3}),
        help_text=_("What was seen or measured. It stands beside the decision."),
    )


class DecideForm(MoveForm):
    cause = forms.ChoiceField(
        label=_("What was it?"),
        widget=forms.RadioSelect,
    )
    reason = _reason()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["cause"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (cause.value, f"{str(cause.label).capitalize()}. {means}")
            for cause, means in MEANS.items()
        ]
        field.look = "stack"  # type: ignore[attr-defined]
        field.error_messages["required"] = _("Choose what kind of return it is.")


class TakeBackForm(MoveForm):
    reason = _reason()


class PutInForm(ActForm):
    """`repairs`: those of the vehicle that may be chosen."""

    repair = forms.ChoiceField(label=_("It is the return of"), widget=forms.RadioSelect)
    reason = _reason()

    def __init__(self, *args: Any, repairs: list[Repair], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["repair"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(one.pk), self._words(one)) for one in repairs]
        field.look = "stack"  # type: ignore[attr-defined]

    @staticmethod
    def _words(one: Repair) -> str:
        left = date_format(date.fromordinal(one.handed_day), "j M Y")
        what = f", {one.component}" if one.component else ""
        return _("%(order)s, left %(day)s%(what)s: %(words)s") % {
            "order": one.complaint.order.number,
            "day": left,
            "what": what,
            "words": one.complaint.words[:120],
        }
