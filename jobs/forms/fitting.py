"""What is read off the two units when an assembly is fitted."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import mono
from jobs.holding import Proposal
from jobs.models import HeldPart, Replacement
from jobs.supersession import normal
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
        help_text=_("As on its label."),
        widget=mono(**_NEXT),
    )
    batch_on = forms.CharField(
        label=_("Batch on the label"),
        max_length=40,
        required=False,
        help_text=_("Where one stands there: it shows whether units made together fail together."),
        widget=mono(**_NEXT),
    )
    part_differs = forms.BooleanField(
        label=_("It is another number than the one ordered, and it is right for this vehicle"),
        required=False,
    )
    part_because = forms.CharField(
        label=_("Why it may stand for the one ordered"), max_length=200, required=False
    )
    serial_differs = forms.BooleanField(
        label=_("The unit taken off differs from the record, and the label was read twice"),
        required=False,
    )
    kept_as = forms.ChoiceField(
        label=_("The unit taken off is kept as"), choices=HeldPart.Why.choices, required=False
    )
    kept_at = forms.CharField(
        label=_("Where it is put"),
        max_length=40,
        required=False,
        help_text=_("For example: held parts, shelf 2. It gets a tag."),
    )

    def __init__(
        self,
        *args: Any,
        replacement: Replacement,
        recorded: bool,
        kept: Proposal | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("auto_id", f"fit-{replacement.pk}-%s")
        initial = {"part_number_on": replacement.part_number, "kept_as": kept.why if kept else ""}
        kwargs.setdefault("initial", initial)
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["serial_on"].quiet = True  # its tick says when it may stay empty
        fields["kept_as"].quiet = True  # proposed, and never empty
        for name in ("serial_off", "serial_on", "part_number_on", "batch_on"):
            fields[name].look = "code"
        if kept:
            fields["kept_as"].help_text = _("Proposed because %(fact)s.") % {"fact": kept.because}
        if not recorded:
            del self.fields["serial_differs"]
        if not self._differs(replacement):
            del self.fields["part_differs"]
            del self.fields["part_because"]

    def _differs(self, replacement: Replacement) -> bool:
        """Was another part number sent? Only then is it asked about."""
        sent = str(self.data.get("part_number_on", "")) if self.is_bound else ""
        return bool(sent.strip()) and normal(sent) != normal(replacement.part_number)

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


class SerialsForm(ActForm):
    """The serial numbers of a fitting, put right; the hidden ones are those that were seen."""

    seen_off = forms.CharField(widget=forms.HiddenInput, required=False)
    seen_on = forms.CharField(widget=forms.HiddenInput, required=False)
    serial_off = forms.CharField(
        label=_("Serial number of the unit taken off"),
        max_length=60,
        required=False,
        widget=mono(),
    )
    serial_on = forms.CharField(
        label=_("Serial number of the unit put on"), max_length=60, required=False, widget=mono()
    )
    because = forms.CharField(label=_("How the mistake was noticed"), max_length=200)

    def __init__(self, *args: Any, replacement: Replacement, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"serials-{replacement.pk}-%s")
        off, on = replacement.unit_off, replacement.unit_on
        numbers = {
            "serial_off": off.serial_number if off else "",
            "serial_on": on.serial_number if on else "",
        }
        seen = {"seen_off": numbers["serial_off"], "seen_on": numbers["serial_on"]}
        kwargs.setdefault("initial", numbers | seen)
        super().__init__(*args, **kwargs)
