"""Fields for a value read from an instrument, and the forms that have them."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Component, Position, Quantity, Reading, Session
from diagnostics.services.readings import ReadingInput, Typed
from diagnostics.services.runs import Answer
from shop import units
from shop.web.forms import ActForm, MoveForm

ENGINE = [("running", _("running")), ("off", _("off"))]


class MeasuredFields(forms.Form):
    """What is typed beside a meter. It stays text: the service reads it and says what is wrong."""

    value = forms.CharField(label=_("Reading"), max_length=24, required=False)
    unit = forms.CharField(label=_("Unit"), max_length=12, required=False)
    temperature = forms.CharField(label=_("Temperature"), max_length=12, required=False)
    engine = forms.ChoiceField(label=_("Engine"), choices=[("", ""), *ENGINE], required=False)
    conditions = forms.CharField(label=_("Noted with it"), max_length=200, required=False)
    pressure = forms.CharField(label=_("Pressure"), max_length=12, required=False)
    pressure_unit = forms.CharField(max_length=12, required=False)
    tool = forms.CharField(label=_("The tool’s ±"), max_length=24, required=False)
    sure = forms.BooleanField(required=False)
    unjudged = forms.BooleanField(required=False)

    @property
    def unit_symbol(self) -> str:
        """The unit that was typed, as it is written."""
        try:
            return units.symbol_of(str(self["unit"].value() or ""))
        except units.UnitError:
            return ""

    def typed(self) -> Typed:
        return Typed(
            **{
                one.name: self.cleaned_data[one.name]
                for one in fields(Typed)
                if one.name in self.fields
            }
        )


class AnswerForm(MeasuredFields, MoveForm):
    """The answer at one step: a value, or the key of an outcome."""

    step = forms.IntegerField(widget=forms.HiddenInput)
    outcome = forms.CharField(label=_("Answer"), max_length=40, required=False)
    note = forms.CharField(label=_("Note"), max_length=2000, required=False)

    def answer(self) -> Answer:
        reading = self.typed() if self.cleaned_data["unit"] else None
        return Answer(
            outcome=self.cleaned_data["outcome"], reading=reading, note=self.cleaned_data["note"]
        )


class StepForm(MoveForm):
    """Acknowledging a caution of a step, or going back to it."""

    step = forms.IntegerField(widget=forms.HiddenInput)


class SkipForm(StepForm):
    because = forms.CharField(label=_("Why it is left out"), max_length=200, required=False)


class CornerForm(MoveForm):
    corner = forms.CharField(max_length=2, required=False)


class BeginForm(ActForm):
    procedure = forms.IntegerField()


class PlaceForm(forms.Form):
    """Which quantity is measured where; sent by GET, so that the limit can be shown first."""

    quantity = forms.ModelChoiceField(
        Quantity.objects.none(), to_field_name="key", label=_("What is measured")
    )
    component = forms.ModelChoiceField(
        Component.objects.none(), required=False, label=_("On which unit")
    )
    position = forms.ChoiceField(choices=Position.choices, required=False, label=_("Where"))

    def __init__(self, *args: Any, session: Session, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = dict(self.fields)
        fields["quantity"].queryset = Quantity.objects.all()
        fields["quantity"].look = "wide"
        fields["component"].quiet = fields["position"].quiet = True
        fields["quantity"].empty_label = _("Choose")
        fields["component"].queryset = _components(session)
        fields["component"].empty_label = _("None in particular")


class ReadingForm(MeasuredFields, ActForm):
    """A value outside any list; quantity, unit and place come with it from the place form."""

    def __init__(self, *args: Any, session: Session, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = PlaceForm(self.data if self.is_bound else None, session=session)

    def is_valid(self) -> bool:
        return self.place.is_valid() and super().is_valid()

    def taken(self) -> ReadingInput:
        place = self.place.cleaned_data
        return ReadingInput.of(
            self.typed(), place["quantity"], place["component"], place["position"]
        )


def noted_again(reading: Reading, pressure_unit: str) -> dict[str, str]:
    """What was noted beside a reading, to begin with when it is put right."""
    kelvin, pascal = reading.temperature_k, reading.pressure_pa
    return {
        "unit": reading.typed_unit,
        "engine": reading.engine,
        "temperature": "" if kelvin is None else f"{units.from_si(kelvin, 'degC'):.4g}",
        "pressure": ""
        if pascal is None
        else f"{units.from_si(pascal, pressure_unit or 'bar'):.6g}",
    }


class ReplaceForm(MeasuredFields, ActForm):
    because = forms.CharField(label=_("What was wrong with the first"), max_length=200)


def _components(session: Session) -> Any:
    rows = Component.objects.filter(retired=False).select_related("system")
    if session.version is None:
        return rows.none()
    return rows.filter(platform=session.version.platform_id)
