"""What is read off the two units when an assembly is fitted."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import mono
from jobs.models import Replacement
from shop.web.forms import ActForm

_NEXT = {"enterkeyhint": "next", "data-enter": "next"}


class FitForm(ActForm):
    """A scanner types a number and Enter: Enter goes on to the next field."""

    serial_off = forms.CharField(
        label=_("Serial number of the unit taken off"),
        max_length=60,
        required=False,
        help_text=_("Empty when it cannot be read."),
        widget=mono(**_NEXT),
    )
    serial_on = forms.CharField(
        label=_("Serial number of the unit put on"),
        max_length=60,
        required=False,
        widget=mono(**_NEXT),
    )
    no_serial = forms.BooleanField(label=_("The new unit carries no number"), required=False)
    part_number_on = forms.CharField(
        label=_("Part number on the new unit"),
        max_length=40,
        help_text=_("As on its label; it may differ from the one ordered."),
        widget=mono(**_NEXT),
    )
    serial_differs = forms.BooleanField(
        label=_("The unit taken off differs from the record, and the label was read twice"),
        required=False,
    )

    def __init__(self, *args: Any, replacement: Replacement, recorded: bool, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"fit-{replacement.pk}-%s")
        kwargs.setdefault("initial", {"part_number_on": replacement.part_number})
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["serial_on"].quiet = True  # its tick says when it may stay empty
        for name in ("serial_off", "serial_on", "part_number_on"):
            fields[name].look = "code"
        if not recorded:
            del self.fields["serial_differs"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        given, none = data.get("serial_on", "").strip(), data.get("no_serial")
        if not given and not none:
            self.add_error(
                "serial_on", _("Scan or type the number, or tick that the unit carries none.")
            )
        if given and none:
            self.add_error("no_serial", _("A number is given above; take this tick off."))
        return data
