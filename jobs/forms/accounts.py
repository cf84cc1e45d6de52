"""The span of days that is taken out for the bookkeeper."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.queries.accounts import Span
from shop import clock
from shop.web.forms import ask_plainly

EARLIEST, LATEST = date(1990, 1, 1), date(2199, 12, 31)


class SpanForm(forms.Form):
    template_name = "form/form.html"
    look = "close"

    first = forms.DateField(label=_("From"), widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"))
    last = forms.DateField(label=_("To"), widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.error_messages["invalid"] = _("Write a date such as 2026-11-25.")
        ask_plainly(self)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and last and first > last:
            self.add_error("last", _("The last day is before the first. Exchange them."))
        for name in ("first", "last"):
            day = data.get(name)
            if day and not EARLIEST <= day <= LATEST:
                self.add_error(name, _("That is outside any book kept here. Check the year."))
        return data

    def span(self) -> Span:
        return Span(self.cleaned_data["first"], self.cleaned_data["last"])


def this_month() -> Span:
    today = clock.today()
    return Span(today.replace(day=1), today)
