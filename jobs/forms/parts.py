"""What is filled in at the Counter."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import mono
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


class OrderForm(ChosenForm):
    """One order to one supplier; `key` tells the forms of several suppliers apart."""

    group = forms.CharField(widget=forms.HiddenInput, required=False)
    reference = forms.CharField(label=_("Order reference"), max_length=60, widget=mono())
    expected_on = day_field(_("Expected on"))
    supplier = forms.CharField(label=_("Supplier"), max_length=80, required=False)

    def __init__(self, *args: Any, named: str, key: str, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"order-{key}-%s")
        kwargs.setdefault("initial", {"group": named})
        super().__init__(*args, **kwargs)
        if named:
            del self.fields["supplier"]
        else:
            self.fields["supplier"].required = True


class ReceiveForm(ChosenForm):
    hand_over = forms.BooleanField(required=False)


class HandOverForm(ActForm):
    revision = forms.IntegerField(widget=forms.HiddenInput)


class LateForm(OwnIds, ActForm):
    expected_on = day_field(_("Now expected on"))
    because = forms.CharField(label=_("Why"), max_length=200)


class WrongForm(OwnIds, ActForm):
    because = forms.CharField(
        label=_("What is wrong with it"),
        max_length=200,
        help_text=_("For example: left-hand unit sent, or connector broken."),
    )
    expected_on = day_field(_("The right one is expected on"))


class CancelForm(OwnIds, ActForm):
    because = forms.CharField(label=_("Why it is not needed"), max_length=200)
