"""What is filled in about a part that came off and is kept."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.forms.parts import day_field
from jobs.forms.signature import SignatureField
from jobs.models import HeldPart, Supplier
from jobs.services.held import HeldInput
from shop.actor import Actor
from shop.web.forms import MoveForm


def _suppliers() -> Any:
    return forms.ModelChoiceField(
        label=_("Supplier"),
        queryset=Supplier.objects.none(),
        required=False,
        empty_label=_("none named"),
    )


class HeldForm(OwnIds, MoveForm):
    """Base of the acts on one tag; offers the workshop's own suppliers where it asks for one."""

    def __init__(self, *args: Any, actor: Actor, held: HeldPart, **kwargs: Any) -> None:
        names = [name for name in self.base_fields if hasattr(held, name)]
        kwargs.setdefault("initial", {name: getattr(held, name) for name in names})
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        if "supplier" in fields:
            fields["supplier"].queryset = Supplier.objects.of(actor)
        for name in ("credit_expected", "amount"):
            if name in fields:
                fields[name].currency = actor.workshop.currency
                fields[name].unit = actor.workshop.currency


class ChangeForm(HeldForm):
    why = forms.ChoiceField(label=_("Kept as"), choices=HeldPart.Why.choices)
    place = forms.CharField(label=_("Place"), max_length=40, required=False)
    hold_until = day_field(_("Hold until"))
    asked_for_on = day_field(_("Asked for: to be sent by"))
    supplier = _suppliers()
    credit_expected = AmountField(label=_("Credit expected"), required=False)
    because = forms.CharField(label=_("Why"), max_length=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["asked_for_on"].required = False
        self.fields["because"].help_text = _("Needed when a day becomes earlier or is taken out.")

    def given(self) -> HeldInput:
        names = set(HeldInput.__dataclass_fields__)
        return HeldInput(**{k: v for k, v in self.cleaned_data.items() if k in names})


class SendForm(HeldForm):
    to = forms.CharField(
        label=_("To whom"),
        max_length=80,
        required=False,
        help_text=_("The payer; for a core the supplier below is enough."),
    )
    supplier = _suppliers()
    parcel = forms.CharField(
        label=_("Parcel or delivery note"), max_length=60, required=False, widget=mono()
    )


class _Although(forms.Form):
    although = forms.CharField(
        label=_("Why all the same"),
        max_length=160,
        required=False,
        help_text=_("Only the service manager, and only when the part should stay."),
    )


class GiveForm(_Although, HeldForm):
    to = forms.CharField(label=_("Who took it"), max_length=80)
    drawn = SignatureField(help_text=_("With finger, pen or mouse. May stay empty."))
    field_order = ("to", "drawn", "although")


class ScrapForm(_Although, HeldForm):
    pass


class CreditForm(HeldForm):
    amount = AmountField(label=_("Credit that came"))
    because = forms.CharField(
        label=_("Why it differs"),
        max_length=200,
        required=False,
        help_text=_("Only when it is not what was expected, or corrects what was recorded."),
    )


class TakeBackForm(HeldForm):
    because = forms.CharField(label=_("How the mistake was noticed"), max_length=200)
