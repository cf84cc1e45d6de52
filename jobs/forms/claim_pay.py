"""Booking money of a payer for one claim by hand."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.claims.payment_file import SPLIT
from jobs.forms.fields import AmountField
from shop.web.forms import ActForm

SPLIT_WORDS = {
    "labour": _("Labour"),
    "parts": _("Parts"),
    "handling": _("Handling"),
    "sublet": _("Sublet work"),
    "tax": _("Tax"),
}


class PayForm(ActForm):
    """Money that a payer sent for one claim, or took back."""

    paid_on = forms.DateField(
        label=_("Paid on"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Write a day such as 2026-05-04.")},
    )
    reference = forms.CharField(label=_("The payer’s reference"), max_length=60, required=False)
    taken_back = forms.BooleanField(label=_("The payer took this back"), required=False)
    because = forms.CharField(
        label=_("Note, or why it was taken back"), max_length=200, required=False
    )
    sure = forms.BooleanField(label=_("Yes, the payer really paid this"), required=False)

    def __init__(self, *args: Any, currency: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SPLIT:
            field = AmountField(label=SPLIT_WORDS[name], required=False)
            field.currency = currency
            field.quiet = True  # type: ignore[attr-defined]
            self.fields[name] = field

    @property
    def amounts(self) -> list[forms.BoundField]:
        return [self[name] for name in SPLIT]

    @property
    def given(self) -> dict[str, Any]:
        """What the service is called with."""
        data = dict(self.cleaned_data)
        amounts = {name: data.pop(name) for name in SPLIT}
        return data | {"amounts": {name: one for name, one in amounts.items() if one}}
