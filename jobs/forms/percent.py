"""A percentage as it is typed: "7,25" or "7.25", exact."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.units import UnitError, plain_decimal


class PercentField(forms.CharField):
    """A percentage of at most `places` decimals; None when it is left empty.

    How large it may be is said by the service, in a sentence of its own.
    """

    unit = "%"

    def __init__(self, *, places: int = 2, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        kwargs.setdefault("widget", forms.TextInput(attrs))
        super().__init__(max_length=12, **kwargs)
        self.places = places

    def prepare_value(self, value: Any) -> Any:
        """What is kept as 7.250 is shown as 7.25."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            percent = Decimal(plain_decimal(text.removesuffix("%").strip()))
        except UnitError as error:
            raise forms.ValidationError(error.sentence) from error
        if percent != round(percent, self.places):
            raise forms.ValidationError(
                _("Type at most %(places)s decimals."), params={"places": self.places}
            )
        if abs(percent) > 9999:
            raise forms.ValidationError(_("That is more than any percentage here. Check it."))
        return percent
