"""The fields that describe a vehicle, its owner and its odometer: parts of several forms."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop import clock
from shop.models import Platform, Workshop
from shop.tyres import TyreError, TyreSize, parse_tyre
from shop.vin import VinCheck, check_vin

VEHICLE = (
    "vin",
    "vin_overrule_reason",
    "plate",
    "platform",
    "model_year",
    "tyre_size",
    "in_service_on",
    "in_service_sure",
)
CUSTOMER = ("name", "phone", "email")
DISTANCES = Workshop.Distance.choices


class PlatformField(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Platform) -> str:
        return f"{obj} ({obj.code})"


class VehicleFields(forms.Form):
    """What is known of a vehicle. Two fields are shown only when something has to be confirmed."""

    vin = forms.CharField(
        label=_("VIN"),
        max_length=40,
        widget=forms.TextInput(
            {"autocapitalize": "characters", "spellcheck": "false", "autocomplete": "off"}
        ),
        error_messages={"required": _("Write the VIN: 17 characters, from the vehicle itself.")},
    )
    vin_overrule_reason = forms.CharField(
        label=_("Why this VIN is right all the same"), max_length=200, required=False
    )
    plate = forms.CharField(
        label=_("Plate"),
        max_length=16,
        required=False,
        widget=forms.TextInput({"autocapitalize": "characters", "autocomplete": "off"}),
    )
    platform = PlatformField(
        Platform.objects.all(),
        label=_("Platform"),
        required=False,
        empty_label=_("Not known yet"),
        help_text=_("Decides which limits and checks apply."),
    )
    model_year = forms.IntegerField(
        label=_("Model year"),
        required=False,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        help_text=_("Left empty, it is taken from the VIN where that tells it."),
        error_messages={"invalid": _("Write four digits, such as 2021.")},
    )
    tyre_size = forms.CharField(
        label=_("Tyre size"),
        max_length=24,
        required=False,
        widget=forms.TextInput({"autocomplete": "off", "placeholder": "185/65 R15"}),
    )
    in_service_on = forms.DateField(
        label=_("In service since"),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Write a day, such as 2021-03-04.")},
    )
    in_service_sure = forms.BooleanField(label=_("This day is right"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["vin"].look = "vin"
        fields["plate"].look = "plate"
        fields["vin_overrule_reason"].quiet = True

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("model_year") and "model_year" not in self.errors and data.get("vin"):
            data["model_year"] = _check(data["vin"]).model_year.year
        return data

    def vehicle_data(self) -> dict[str, Any]:
        """What VehicleInput takes."""
        return {name: self.cleaned_data[name] for name in VEHICLE}

    @property
    def vin_check(self) -> VinCheck:
        """What can be said of the VIN as it stands in the field."""
        return _check(str(self["vin"].value() or ""))

    @property
    def tyre_read(self) -> TyreSize | None:
        """How the tyre size in the field was understood, if it was."""
        return tyre_of(str(self["tyre_size"].value() or ""))


class CustomerFields(forms.Form):
    name = forms.CharField(
        label=_("Customer"),
        max_length=120,
        widget=forms.TextInput({"autocomplete": "off"}),
        error_messages={"required": _("Write the customer’s name.")},
    )
    phone = forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput({"inputmode": "tel", "autocomplete": "off"}),
    )
    email = forms.CharField(
        label=_("E-mail"),
        max_length=254,
        required=False,
        widget=forms.TextInput({"inputmode": "email", "autocomplete": "off"}),
        help_text=_("A telephone number or an e-mail address; both is better."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["phone"].quiet = fields["email"].quiet = True

    def customer_data(self) -> dict[str, str]:
        """What CustomerInput takes."""
        return {name: self.cleaned_data[name] for name in CUSTOMER}


class OdometerFields(forms.Form):
    """A distance as it is read; the reason is asked only when the figure looks strange."""

    odometer = forms.CharField(
        label=_("Odometer"),
        max_length=16,
        widget=forms.TextInput({"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": _("Write what the odometer shows, such as 41870.")},
    )
    odometer_unit = forms.ChoiceField(label=_("Unit"), choices=DISTANCES)
    odometer_reason = forms.CharField(
        label=_("Why this figure is right"), max_length=200, required=False
    )

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["odometer_unit"].initial = unit
        fields["odometer_reason"].quiet = True

    def odometer_data(self) -> dict[str, str]:
        """What OdometerInput takes."""
        data = self.cleaned_data
        return {
            "value": data["odometer"],
            "unit": data["odometer_unit"],
            "reason": data["odometer_reason"],
        }


def tyre_of(typed: str) -> TyreSize | None:
    try:
        return parse_tyre(typed) if typed.strip() else None
    except TyreError:
        return None


def _check(typed: str) -> VinCheck:
    return check_vin(typed, still_typing=True, this_year=clock.today().year)
