"""A supplier, and what goes back to one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.forms.supply import pieces_field
from jobs.models import StockItem, Supplier
from jobs.supersession import normal
from shop.actor import Actor
from shop.web.forms import ActForm


class SupplierForm(ActForm):
    """`revision` is the one seen; a new supplier has none."""

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(label=_("Name"), max_length=80)
    account = forms.CharField(
        label=_("Our account with them"), max_length=40, required=False, widget=mono()
    )
    phone = forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput({"type": "tel", "autocomplete": "off"}),
    )
    email = forms.EmailField(label=_("E-mail"), max_length=254, required=False)
    address = forms.CharField(
        label=_("Address"), required=False, widget=forms.Textarea({"rows": 3})
    )


class ReturnForm(OwnIds, ActForm):
    """Free pieces from the shelf that go back for credit."""

    part_number = forms.CharField(label=_("Part number"), max_length=40, widget=mono())
    quantity = pieces_field(_("Pieces"), least=1, required=True, initial=1)
    supplier = forms.ModelChoiceField(label=_("Goes back to"), queryset=Supplier.objects.none())
    because = forms.CharField(label=_("Why it is not needed"), max_length=200)
    credit_expected = AmountField(
        label=_("Credit expected"),
        required=False,
        help_text=_("Left empty: what the pieces cost."),
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor
        choice: Any = self.fields["supplier"]
        choice.queryset = Supplier.objects.of(actor)

    def clean_part_number(self) -> StockItem:
        typed = self.cleaned_data["part_number"]
        items = StockItem.objects.of(self.actor)
        found: StockItem | None = items.filter(part_key=normal(typed)).first()
        if found is None:
            raise forms.ValidationError(_("That number is not in stock. Check it."))
        return found


class SentForm(OwnIds, ActForm):
    reference = forms.CharField(
        label=_("Parcel number or driver"), max_length=60, required=False, widget=mono()
    )


class CreditForm(OwnIds, ActForm):
    amount = AmountField(label=_("Credited"))
    credit_note = forms.CharField(
        label=_("Their credit note"), max_length=60, required=False, widget=mono()
    )
