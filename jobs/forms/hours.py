"""Putting the clock right, and saying who is there when."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.clocked import Shift
from jobs.forms.own_ids import OwnIds
from jobs.forms.wall_time import TimesForm
from jobs.services.working_hours import DAYS
from shop.actor import Actor
from shop.models import User
from shop.queries.people import technicians_of
from shop.web.forms import ActForm

BOTH = _("Type both the beginning and the end, or leave the day empty.")
YEARS = range(1990, 2200)


class CorrectionForm(TimesForm):
    """What counts of an entry; `seen` is how many corrections its page showed."""

    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)


class MissingForm(TimesForm):
    """Time that nobody clocked."""

    user = forms.ModelChoiceField(User.objects.none(), label=_("Who worked"))
    field_order = ("user",)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["user"].queryset = technicians_of(actor)


def _clock_field() -> forms.TimeField:
    return forms.TimeField(
        required=False,
        widget=forms.TimeInput({"type": "time"}, format="%H:%M"),
        input_formats=["%H:%M", "%H:%M:%S"],
        error_messages={"invalid": _("Type a time such as 08:00.")},
    )


class WeekForm(ActForm):
    """A beginning, an end and a break for each day; an empty day is a free one."""

    def __init__(self, *args: Any, week: dict[int, Shift] | None = None, **kwargs: Any) -> None:
        initial: dict[str, Any] = {}
        for weekday, shift in (week or {}).items():
            initial[f"starts_{weekday}"] = shift.starts
            initial[f"ends_{weekday}"] = shift.ends
            initial[f"pause_{weekday}"] = shift.pause // timedelta(minutes=1)
        super().__init__(*args, initial=initial, **kwargs)
        for weekday in range(7):
            self.fields[f"starts_{weekday}"] = _clock_field()
            self.fields[f"ends_{weekday}"] = _clock_field()
            self.fields[f"pause_{weekday}"] = forms.IntegerField(
                required=False,
                min_value=0,
                max_value=480,
                widget=forms.NumberInput({"inputmode": "numeric"}),
            )

    @property
    def days(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Each day with its beginning, end and break, for the table."""
        parts = ("starts", "ends", "pause")
        return [(name, [self[f"{part}_{day}"] for part in parts]) for day, name in enumerate(DAYS)]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for day in range(7):
            starts, ends = data.get(f"starts_{day}"), data.get(f"ends_{day}")
            if (starts is None) != (ends is None) and not self.errors.keys() & {
                f"starts_{day}",
                f"ends_{day}",
            }:
                self.add_error(f"starts_{day}" if starts is None else f"ends_{day}", BOTH)
            elif starts is not None and starts == ends:
                self.add_error(f"ends_{day}", _("The end is the beginning. Type when it ends."))
        return data

    def week(self) -> dict[int, Shift]:
        data = self.cleaned_data
        return {
            day: Shift(
                data[f"starts_{day}"],
                data[f"ends_{day}"],
                timedelta(minutes=data[f"pause_{day}"] or 0),
            )
            for day in range(7)
            if isinstance(data[f"starts_{day}"], time)
        }


class AbsenceForm(OwnIds, ActForm):
    first_on = forms.DateField(
        label=_("First day"), widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    last_on = forms.DateField(
        label=_("Last day"), widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    because = forms.CharField(label=_("Why"), max_length=80, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in ("first_on", "last_on"):
            if data.get(name) and data[name].year not in YEARS:
                self.add_error(name, _("That is years away. Check the year."))
        return data
