"""Fields that read money and hours as they are typed in a shop."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop import clock
from shop.money import AmountError, parse_amount
from shop.units import UnitError, parse_number


class AmountField(forms.CharField):
    """An amount of money; None when it is left empty."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        kwargs.setdefault("widget", forms.TextInput(attrs))
        super().__init__(max_length=20, **kwargs)
        self.currency = ""

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_amount(text, currency_symbol=self.currency)
        except AmountError as error:
            raise forms.ValidationError(error.sentence) from error


class HoursField(forms.CharField):
    """Hours in whole tenths, as tenths; None when it is left empty."""

    unit = "h"

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        kwargs.setdefault("widget", forms.TextInput(attrs))
        super().__init__(max_length=8, **kwargs)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            tenths = parse_number(text) * 10
        except UnitError as error:
            raise forms.ValidationError(error.sentence) from error
        whole = round(tenths)
        if abs(tenths - whole) > 1e-6:
            raise forms.ValidationError(
                _("Time is counted in tenths of an hour (6 minutes): type %(hours)s."),
                params={"hours": f"{whole / 10:.1f}"},
            )
        return whole


class PromiseField(forms.DateTimeField):
    """When a job is promised; None when it is left open."""

    farthest = timedelta(days=730)

    def __init__(self) -> None:
        super().__init__(
            label=_("Promised for"),
            required=False,
            widget=forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
            error_messages={"invalid": _("Write a date and a time, such as 2026-05-04 16:30.")},
        )

    def validate(self, value: Any) -> None:
        super().validate(value)
        # The ends of the calendar cannot even be told in another time zone.
        if value and abs(value - clock.now()) > self.farthest:
            raise forms.ValidationError(_("That is years away. Check the year."))


def mono(**attrs: str) -> forms.TextInput:
    """A field for numbers that are read off a label or scanned."""
    return forms.TextInput(
        {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"} | attrs
    )
