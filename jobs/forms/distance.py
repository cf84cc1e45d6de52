"""A distance in whole units of the workshop's odometers, kept in metres."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.units import UnitError, format_number, from_si, parse_number, to_si

MOST = 3_000_000


class DistanceField(forms.CharField):
    """Metres; None when it is left empty. `unit` is set by the form: km or mi."""

    unit = "km"

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.TextInput({"inputmode": "numeric", "autocomplete": "off"})
        )
        super().__init__(max_length=14, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """What is kept in metres is shown in the unit."""
        if isinstance(value, int):
            return format_number(from_si(float(value), self.unit), decimals=0)
        return value

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            typed = parse_number(text)
        except UnitError as error:
            raise forms.ValidationError(error.sentence) from error
        if not 0 <= typed <= MOST:
            raise forms.ValidationError(_("Type a distance that a vehicle can run. Check it."))
        return round(to_si(typed, self.unit))
