"""What is filled in at the Counter."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.own_ids import OwnIds
from shop.web.forms import ActForm
from shop.web.numbers import whole_number

_DAY = {"invalid": _("Write a day, such as 2026-05-04.")}


def day_field(label: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages=_DAY,
    )


class ChosenForm(ActForm):
    """Several assemblies ticked in one list."""

    replacements = forms.TypedMultipleChoiceField(coerce=int, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["replacements"]
        sent: Any = self.data
        typed = sent.getlist("replacements") if self.is_bound else []
        # Any number may be sent; the service knows which are this workshop's.
        field.choices = [(pk, pk) for pk in typed if whole_number(pk) is not None]


class ReceiveForm(ChosenForm):
    hand_over = forms.BooleanField(required=False)


class WaitForm(ActForm):
    line = forms.IntegerField(widget=forms.HiddenInput)


class HandOverForm(ActForm):
    revision = forms.IntegerField(widget=forms.HiddenInput)


class LateForm(OwnIds, ActForm):
    expected_on = day_field(_("Now expected on"))
    because = forms.CharField(label=_("Why"), max_length=200)


class WrongForm(OwnIds, ActForm):
    """With `ordered` the supplier may send it again; else it can only be ordered anew."""

    because = forms.CharField(
        label=_("What is wrong with it"),
        max_length=200,
        help_text=_("For example: left-hand unit sent, or connector broken."),
    )
    damaged = forms.BooleanField(label=_("It is the right part, but damaged"), required=False)
    again = forms.ChoiceField(
        label=_("The supplier"),
        choices=[("on", _("sends the right one")), ("off", _("gives credit: order anew"))],
        initial="on",
        required=False,
        widget=forms.RadioSelect,
    )
    expected_on = day_field(_("The right one is expected on"))

    def __init__(self, *args: Any, ordered: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["expected_on"].required = False
        if not ordered:
            del self.fields["again"], self.fields["expected_on"]

    def clean_again(self) -> bool:
        return bool(self.cleaned_data["again"] != "off")


class CancelForm(OwnIds, ActForm):
    because = forms.CharField(label=_("Why it is not needed"), max_length=200)
