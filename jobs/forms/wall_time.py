"""Times typed as the clock on the wall shows them: also on the nights on which it is changed."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.utils.timezone import is_aware, localtime
from django.utils.translation import gettext_lazy as _

from jobs.clocked import NoSuchTime, TwiceTime, at_local
from jobs.forms.own_ids import OwnIds
from jobs.queries.clock import zone
from shop.web.forms import ActForm

YEARS = range(1990, 2200)
FORMATS = ("%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M")
NEVER = _("The clocks went forward that night and left %(time)s out. Type the time after it.")
TWICE = _("The clocks went back that night, so %(time)s was twice. Choose which one it was.")


class WallTimeField(forms.DateTimeField):
    """A local date and time without its zone; what it means is worked out by the form."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            widget=forms.DateTimeInput({"type": "datetime-local"}, format=FORMATS[0]),
            error_messages={"invalid": _("Write a date and a time, such as 2026-05-04 16:30.")},
            **kwargs,
        )

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        for form in FORMATS:
            try:
                typed = datetime.strptime(str(value).strip(), form)  # noqa: DTZ007
            except ValueError:
                continue
            if typed.year not in YEARS:
                raise forms.ValidationError(_("That is years away. Check the year."))
            return typed
        raise forms.ValidationError(self.error_messages["invalid"], code="invalid")


class TimesForm(OwnIds, ActForm):
    """From when to when, and why. Which of two is asked only for a time that was twice."""

    counted_from = WallTimeField(label=_("From"))
    counted_from_which = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    counted_to = WallTimeField(label=_("To"))
    counted_to_which = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    because = forms.CharField(
        label=_("Why"),
        max_length=500,
        widget=forms.Textarea({"rows": 2}),
        error_messages={"required": _("Say why in a few words; it is kept beside both times.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("counted_from", "counted_to"):
            value = self[name].value()
            if not _was_twice(value):
                del self.fields[f"{name}_which"]
                continue
            which: Any = self.fields[f"{name}_which"]
            which.label = _("Which of the two")
            which.choices = [
                ("first", _("the first, before the clocks went back")),
                ("second", _("the second, after it")),
            ]
            initial = self.initial.get(name)
            if isinstance(initial, datetime) and is_aware(initial):
                which.initial = "second" if localtime(initial).fold else "first"

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in ("counted_from", "counted_to"):
            typed = data.get(name)
            which = data.pop(f"{name}_which", "")
            if typed is None:
                continue
            said = {"time": f"{typed:%H:%M}"}
            second = {"first": False, "second": True}.get(which)
            try:
                data[name] = at_local(typed, zone(), second=second)
            except NoSuchTime:
                self.add_error(name, forms.ValidationError(NEVER, params=said))
            except TwiceTime:
                self.add_error(name, forms.ValidationError(TWICE, params=said))
        return data


def _was_twice(value: Any) -> bool:
    if isinstance(value, datetime):
        typed = localtime(value).replace(tzinfo=None) if is_aware(value) else value
    else:
        try:
            typed = WallTimeField().to_python(value) or datetime.min  # noqa: DTZ901
        except forms.ValidationError:
            return False
    try:
        at_local(typed, zone())
    except TwiceTime:
        return True
    except (NoSuchTime, OverflowError):
        return False
    return False
