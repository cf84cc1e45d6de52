"""Taking a payment and paying one back. No card data is asked for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField
from jobs.models import Payment
from shop.web.forms import ActForm


class PaymentForm(ActForm):
    amount = AmountField(label=_("Amount"))
    how = forms.ChoiceField(label=_("How"), choices=Payment.How, widget=forms.RadioSelect)
    reference = forms.CharField(
        label=_("Reference of card or transfer"),
        max_length=60,
        required=False,
        help_text=_(
            "As the slip of the terminal or the bank has it; cash needs none. "
            "Never a card’s number."
        ),
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def __init__(self, *args: Any, currency: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["reference"].quiet = True  # its own words say when it may stay empty
        field = self.fields["amount"]
        assert isinstance(field, AmountField)
        field.currency = currency


class DayForm(forms.Form):
    """Which day of the Till; today when none is asked for."""

    day = forms.DateField(
        label=_("Day"),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Write a day such as 2026-05-04.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["day"].quiet = True  # the button says what follows
