"""Setting a workshop up and changing its settings."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from shop import units
from shop.models import Workshop
from shop.services.first_run import Beginning
from shop.services.workshop import WorkshopSettings
from shop.web.forms import ActForm, ask_plainly

_METRES = 1000


class FirstRunForm(forms.Form):
    template_name = "form/form.html"

    workshop = forms.CharField(label=_("Name of the workshop"), max_length=80)
    order_prefix = forms.CharField(
        label=_("Letter before order numbers"),
        max_length=3,
        help_text=_("Q gives Q1001, Q1002 and so on."),
        validators=[RegexValidator(r"^[A-Za-z]{1,3}\Z", _("One to three letters."))],
    )
    bays = forms.IntegerField(label=_("Number of bays"), min_value=1, max_value=60, initial=2)
    owner = forms.CharField(label=_("Your name"), max_length=80)
    username = forms.CharField(label=_("Your sign-in name"), max_length=60)
    password = forms.CharField(
        label=_("Your password"),
        widget=forms.PasswordInput({"autocomplete": "new-password"}, render_value=True),
        help_text=_("At least eight characters, not only digits, not a common word."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ask_plainly(self)

    def beginning(self) -> Beginning:
        return Beginning(**self.cleaned_data)


class WorkshopForm(ActForm):
    name = forms.CharField(label=_("Name"), max_length=80)
    address = forms.CharField(
        label=_("Address on papers"),
        required=False,
        max_length=500,
        widget=forms.Textarea({"rows": 3}),
    )
    phone = forms.CharField(label=_("Telephone"), required=False, max_length=40)
    distance_unit = forms.ChoiceField(
        label=_("Odometers read in"), choices=Workshop.Distance.choices
    )
    paper = forms.ChoiceField(label=_("Paper"), choices=Workshop.Paper.choices)
    currency = forms.CharField(label=_("Currency sign"), max_length=4)
    labour_rate = forms.DecimalField(
        label=_("Labour rate per hour"),
        min_value=0,
        max_digits=9,
        decimal_places=2,
        error_messages={"min_value": _("A rate cannot be below zero.")},
    )
    comeback_days = forms.IntegerField(
        label=_("Comeback window, days"),
        min_value=1,
        max_value=3650,
        help_text=_(
            "A complaint on the same system within this time is shown as a possible one. Another "
            "window proposes anew what is not decided yet, also of before."
        ),
    )
    comeback_km = forms.IntegerField(
        min_value=1,
        max_value=600_000,
        help_text=_("And within this distance, where both odometers are known."),
    )
    brake_rule = forms.ChoiceField(
        label=_("Rule for brake forces"),
        choices=Workshop.BrakeRule.choices,
        required=False,
        help_text=_("What a brake tester’s forces are held against. Local law comes first."),
    )

    def __init__(self, *args: Any, workshop: Workshop, **kwargs: Any) -> None:
        kept = {name: getattr(workshop, name) for name in WorkshopSettings.__slots__}
        self._km, self._unit = workshop.comeback_km, workshop.distance_unit
        shown = round(units.from_si(self._km * _METRES, self._unit))
        super().__init__(*args, **kwargs | {"initial": kept | {"comeback_km": shown}})
        in_miles = self._unit == Workshop.Distance.MI
        self.fields["comeback_km"].label = (
            _("Comeback window, miles") if in_miles else _("Comeback window, km")
        )

    def clean_comeback_km(self) -> int:
        """In kilometres; what was not changed stays as it is, whatever it is rounded to."""
        if "comeback_km" not in self.changed_data:
            return self._km
        typed: int = self.cleaned_data["comeback_km"]
        return max(1, round(units.to_si(typed, self._unit) / _METRES))

    def settings(self) -> WorkshopSettings:
        return WorkshopSettings(
            **{name: self.cleaned_data[name] for name in WorkshopSettings.__slots__}
        )


class BayForm(ActForm):
    name = forms.CharField(label=_("Name of the bay"), max_length=40)


class BayUseForm(ActForm):
    in_use = forms.BooleanField(required=False)
