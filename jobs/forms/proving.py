"""The road test, and the vehicle leaving."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.own_ids import OwnIds
from shop.models import Workshop
from shop.web.forms import ActForm, MoveForm

DISTANCES = [("km", "km"), ("mi", "mi")]
SPEEDS = [("km/h", "km/h"), ("mph", "mph")]
_NUMBER = {"inputmode": "decimal", "autocomplete": "off"}


class RoadTestForm(OwnIds, ActForm):
    distance = forms.CharField(
        label=_("Distance driven"), max_length=16, widget=forms.TextInput(_NUMBER)
    )
    distance_unit = forms.ChoiceField(label=_("Unit of distance"), choices=DISTANCES)
    top_speed = forms.CharField(
        label=_("Top speed"), max_length=16, widget=forms.TextInput(_NUMBER)
    )
    speed_unit = forms.ChoiceField(label=_("Unit of speed"), choices=SPEEDS)
    odometer = forms.CharField(
        label=_("Odometer after it"),
        required=False,
        max_length=16,
        widget=forms.TextInput(_NUMBER),
    )
    odometer_reason = forms.CharField(
        label=_("Why the odometer shows that"), required=False, max_length=200
    )
    note = forms.CharField(
        label=_("Anything noticed"),
        required=False,
        max_length=1000,
        widget=forms.Textarea({"rows": 2}),
    )

    def __init__(self, *args: Any, workshop: Workshop, **kwargs: Any) -> None:
        miles = workshop.distance_unit == Workshop.Distance.MI
        kwargs["initial"] = {
            "distance_unit": "mi" if miles else "km",
            "speed_unit": "mph" if miles else "km/h",
        }
        super().__init__(*args, **kwargs)


class ReleaseForm(OwnIds, MoveForm):
    override = forms.CharField(
        label=_("Release all the same, because"),
        required=False,
        max_length=500,
        help_text=_("Prints on the repair order with your name and with what was missing."),
        widget=forms.Textarea({"rows": 2}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Empty is right for a proved vehicle; the service asks for it where it is not.
        fields: dict[str, Any] = self.fields
        fields["override"].quiet = True


class LeaveForm(OwnIds, MoveForm):
    reason = forms.CharField(
        label=_("What the customer was told"),
        max_length=500,
        help_text=_("Prints on the repair order."),
        widget=forms.Textarea({"rows": 2}),
        error_messages={"required": _("Say what the customer was told; it prints.")},
    )
