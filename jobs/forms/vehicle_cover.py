"""Contracts and campaigns of a vehicle."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from diagnostics.models import ChassisSystem, Component
from jobs.forms.distance import DistanceField
from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.forms.percent import PercentField
from jobs.models import ServiceContract
from shop.models import Vehicle
from shop.web.forms import ActForm, MoveForm


def _day(label: Any, **more: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Write a day, such as 2025-03-04.")},
        **more,
    )


class ContractForm(ActForm):
    """`revision` is the one seen; a new contract has none."""

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    provider = forms.CharField(label=_("Who promised it"), max_length=80)
    number = forms.CharField(label=_("Contract number"), max_length=40, widget=mono())
    starts_on = _day(_("Starts on"))
    starts_at_m = DistanceField(
        label=_("Odometer at its start"),
        required=False,
        help_text=_("Needed where the contract has a limit of distance."),
    )
    months = forms.IntegerField(
        label=_("Months"),
        required=False,
        min_value=1,
        max_value=600,
        help_text=_("Left empty: no limit of time."),
    )
    distance_m = DistanceField(
        label=_("Distance"), required=False, help_text=_("Left empty: no limit of distance.")
    )
    waiting_days = forms.IntegerField(
        label=_("Waiting period, days"), required=False, min_value=0, max_value=1000, initial=0
    )
    waiting_m = DistanceField(label=_("Waiting distance"), required=False)
    deductible = AmountField(label=_("Deductible a visit"), required=False)
    percent = PercentField(label=_("Bears, percent"), required=False)
    systems = forms.ModelMultipleChoiceField(
        label=_("Systems it covers"),
        queryset=ChassisSystem.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: the whole chassis."),
    )
    left_out = forms.ModelMultipleChoiceField(
        label=_("Components it leaves out"),
        queryset=Component.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    sure = forms.BooleanField(label=_("I looked at it, and it is so"), required=False)

    def __init__(self, *args: Any, vehicle: Vehicle, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = vehicle.workshop.distance_unit
        for name in ("starts_at_m", "distance_m", "waiting_m"):
            field: Any = self.fields[name]
            field.unit = unit
        money: Any = self.fields["deductible"]
        money.currency = vehicle.workshop.currency
        choice: Any = self.fields["systems"]
        choice.queryset = ChassisSystem.objects.filter(
            components__platform=vehicle.platform_id
        ).distinct()
        left: Any = self.fields["left_out"]
        own = [one.pk for one in (self.initial or {}).get("left_out", ())]
        left.queryset = Component.objects.filter(platform=vehicle.platform_id).filter(
            Q(retired=False) | Q(pk__in=own)  # what newer pages retired stays left out
        )

    @property
    def given(self) -> dict[str, Any]:
        found = dict(self.cleaned_data)
        for name in ("act", "revision", "sure"):
            found.pop(name)
        found["waiting_days"] = found["waiting_days"] or 0
        found["waiting_m"] = found["waiting_m"] or 0
        found["deductible"] = found["deductible"] or 0
        found["percent"] = 100 if found["percent"] is None else found["percent"]
        return found


def kept(row: ServiceContract) -> dict[str, Any]:
    """What stands of a contract, as the form's beginning."""
    names = (
        "provider",
        "number",
        "starts_on",
        "starts_at_m",
        "months",
        "distance_m",
        "waiting_days",
        "waiting_m",
        "percent",
        "revision",
    )
    found: dict[str, Any] = {name: getattr(row, name) for name in names}
    found["deductible"] = f"{row.deductible:.2f}"
    found["systems"] = list(row.systems.all())
    found["left_out"] = list(row.left_out.all())
    return found


class EndForm(OwnIds, MoveForm):
    ended_on = _day(_("Ended on"))
    because = forms.CharField(label=_("Why it ended"), max_length=200)


class CampaignForm(OwnIds, ActForm):
    reference = forms.CharField(label=_("Reference"), max_length=40, widget=mono())
    title = forms.CharField(label=_("What is to be done"), max_length=160)
    component = forms.ModelChoiceField(
        label=_("Component"),
        queryset=Component.objects.none(),
        required=False,
        empty_label=_("not known, or several"),
    )
    announced_on = _day(_("Announced on"))

    def __init__(self, *args: Any, vehicle: Vehicle, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice: Any = self.fields["component"]
        choice.queryset = Component.objects.filter(platform=vehicle.platform_id, retired=False)


class RemedyForm(OwnIds, MoveForm):
    remedied_on = _day(_("Carried out on"))
    note = forms.CharField(label=_("Where, on which order"), max_length=120, required=False)


class UndoForm(OwnIds, MoveForm):
    because = forms.CharField(label=_("Why it was not carried out"), max_length=120)
