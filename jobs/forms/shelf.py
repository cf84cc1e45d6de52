"""What is filled in about a part on the shelf."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.models import StockItem, Supplier
from jobs.services.shelf import MOST, MOST_TO_KEEP, Particulars
from shop.actor import Actor
from shop.web.forms import ActForm, MoveForm

_WHOLE = {"invalid": _("Type a whole number.")}


def _counted() -> forms.IntegerField:
    return forms.IntegerField(
        label=_("Counted"),
        min_value=0,
        max_value=MOST,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=_WHOLE,
    )


class CountForm(OwnIds, MoveForm):
    seen = forms.IntegerField(widget=forms.HiddenInput)
    counted = _counted()
    because = forms.CharField(
        label=_("Why it differs"),
        max_length=200,
        required=False,
        help_text=_("Only when it is not what the record says."),
    )


class _ParticularsFields(forms.Form):
    text = forms.CharField(label=_("What it is"), max_length=160)
    place = forms.CharField(
        label=_("Place"), max_length=40, required=False, help_text=_("For example: rack B, 3.")
    )
    unit_cost = AmountField(label=_("Cost of one"), required=False)
    target = forms.IntegerField(
        label=_("To keep on the shelf"),
        min_value=0,
        max_value=MOST_TO_KEEP,
        required=False,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=_WHOLE,
    )
    supplier = forms.ModelChoiceField(
        label=_("Supplier"),
        queryset=Supplier.objects.none(),
        required=False,
        empty_label=_("none named"),
    )

    def offer(self, actor: Actor) -> None:
        """The workshop's own suppliers, and its currency beside the cost."""
        fields: dict[str, Any] = self.fields
        fields["supplier"].queryset = Supplier.objects.of(actor)
        fields["unit_cost"].currency = actor.workshop.currency
        fields["unit_cost"].unit = actor.workshop.currency

    def particulars(self) -> Particulars:
        data = self.cleaned_data
        return Particulars(
            text=data["text"],
            place=data["place"],
            unit_cost=data["unit_cost"] or Decimal(0),
            target=data["target"] or 0,
            supplier=data["supplier"],
        )


class ItemForm(OwnIds, _ParticularsFields, MoveForm):
    def __init__(self, *args: Any, actor: Actor, item: StockItem, **kwargs: Any) -> None:
        names = ("text", "place", "unit_cost", "target", "supplier", "revision")
        kwargs.setdefault("initial", {name: getattr(item, name) for name in names})
        super().__init__(*args, **kwargs)
        self.offer(actor)


class NewItemForm(OwnIds, _ParticularsFields, ActForm):
    part_number = forms.CharField(label=_("Part number"), max_length=40, widget=mono())
    counted = _counted()
    field_order = ("part_number", "text", "counted", "place", "unit_cost", "target", "supplier")

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer(actor)
