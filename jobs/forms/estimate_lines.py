"""Forms for the lines that are no assembly, and for who pays a complaint."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import LabourOperation, Position
from jobs.forms.estimate import LineForm, operation_groups
from jobs.forms.fields import AmountField, HoursField
from jobs.models import LabourLine, OtherLine, Payer


class LabourForm(LineForm):
    operation = forms.TypedChoiceField(
        label=_("Operation"), required=False, coerce=int, empty_value=None
    )
    text = forms.CharField(label=_("Or in your own words"), max_length=200, required=False)
    kind = forms.ChoiceField(
        label=_("What kind"),
        choices=LabourLine.Kind.choices,
        initial=LabourLine.Kind.OPERATION,
        required=False,
        help_text=_("Diagnosis stands on a line of its own."),
    )
    position = forms.ChoiceField(
        label=_("Where"), choices=[("", _("no place")), *Position.choices], required=False
    )
    hours = HoursField(
        label=_("Hours"),
        required=False,
        help_text=_("Empty: the catalogue’s allowance."),
    )
    reason = forms.CharField(
        label=_("Why this time"),
        max_length=120,
        required=False,
        help_text=_("For extra time, and where it is not the catalogue’s."),
    )

    def __init__(self, *args: Any, operations: Sequence[LabourOperation], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        self.by_key = {operation.pk: operation for operation in operations}
        fields["operation"].choices = [("", _("In my own words")), *operation_groups(operations)]
        fields["operation"].look = "wide"

    @property
    def chosen(self) -> LabourOperation | None:
        return self.by_key.get(self.cleaned_data["operation"])


class OtherForm(LineForm):
    kind = forms.ChoiceField(label=_("What kind"), choices=OtherLine.Kind.choices)
    text = forms.CharField(
        label=_("What it is"),
        max_length=200,
        help_text=_("As it stands on the bill: brake fluid, glycol-ether. Not “shop supplies”."),
    )
    supplier = forms.CharField(label=_("Who does or supplies it"), max_length=80, required=False)
    quantity = AmountField(label=_("Quantity"), initial="1")
    unit_price = AmountField(label=_("Price of one"))
    cost = AmountField(label=_("What one costs us"), required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["text"].look = "wide"
        for name in ("unit_price", "cost"):
            fields[name].currency = fields[name].unit = currency


class ShareForm(LineForm):
    """Who bears a complaint, and how much of it."""

    payer = forms.ChoiceField(
        label=_("Who pays beside the customer"),
        choices=Payer.choices,
        help_text=_(
            "Labour goes at that payer’s rate where it bears all; shared, at the customer’s."
        ),
    )
    percent = AmountField(
        label=_("How much of it that payer bears"),
        initial="100",
        help_text=_(
            "The customer pays the rest. It does not matter where the customer pays alone."
        ),
    )
    because = forms.CharField(
        label=_("Why"),
        max_length=200,
        required=False,
        help_text=_("For goodwill, and wherever it is shared."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["percent"].unit = "%"
        fields["because"].look = "wide"

    def clean_percent(self) -> Decimal:
        percent: Decimal = self.cleaned_data["percent"]
        if percent > 100:
            raise forms.ValidationError(_("No payer bears more than 100 %."))
        return percent
