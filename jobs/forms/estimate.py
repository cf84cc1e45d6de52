"""Putting the estimate together, giving it, and recording the answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Component, LabourOperation
from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.models import Complaint, How, RepairOrder, Replacement
from jobs.pricing import hours
from jobs.queries.estimate import Choice, place_words
from shop.money import format_amount
from shop.web.forms import ActForm

Groups = list[tuple[str, list[tuple[str, str]]]]


class LineForm(OwnIds, ActForm):
    """A line of the estimate belongs to one complaint."""

    complaint = forms.TypedChoiceField(label=_("For the complaint"), coerce=int)

    def __init__(self, *args: Any, complaints: Sequence[Complaint], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["complaint"]
        field.choices = [(one.pk, f"{one.line} · {shortened(one.words)}") for one in complaints]
        if len(complaints) == 1:
            field.widget = forms.HiddenInput()
            field.initial = complaints[0].pk


class AssemblyForm(LineForm):
    assembly = forms.ChoiceField(label=_("Assembly"))
    part_number = forms.CharField(
        label=_("Another part number"),
        max_length=40,
        required=False,
        help_text=_("Only when the catalogue’s number is not the one to order."),
        widget=mono(),
    )
    supplier = forms.CharField(label=_("Supplier"), max_length=80, required=False)
    price = AmountField(label=_("Price"), required=False)
    condition = forms.ChoiceField(
        label=_("Condition"),
        choices=[("", _("as the catalogue says")), *Replacement.Condition.choices],
        required=False,
    )

    def __init__(self, *args: Any, choices: Sequence[Choice], currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        self.by_key = {choice.key: choice for choice in choices}
        fields["assembly"].choices = [("", _("Choose…")), *_assemblies(choices, currency)]
        fields["assembly"].look = "wide"
        fields["part_number"].look = "code"
        fields["price"].currency = fields["price"].unit = currency

    @property
    def component(self) -> Component:
        return self.by_key[self.cleaned_data["assembly"]].component

    @property
    def position(self) -> str:
        return self.by_key[self.cleaned_data["assembly"]].position


class GiveForm(OwnIds, ActForm):
    given_to = forms.CharField(label=_("Given to"), max_length=120)
    how = forms.ChoiceField(label=_("How"), choices=How.choices, initial=How.PHONE)
    contact = forms.CharField(label=_("Number or address used"), max_length=120, required=False)

    def __init__(self, *args: Any, order: RepairOrder, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "given_to": order.customer.name,
            "contact": order.customer.phone or order.customer.email,
            "how": How.PHONE if order.customer.phone else How.EMAIL,
        }
        super().__init__(*args, **kwargs)


def _assemblies(choices: Sequence[Choice], currency: str) -> Groups:
    return [
        (system, [(choice.key, _assembly_words(choice, currency)) for choice in group])
        for system, group in groupby(choices, key=lambda choice: choice.component.system.name)
    ]


def _assembly_words(choice: Choice, currency: str) -> str:
    name = ", ".join(part for part in (choice.component.name, place_words(choice.position)) if part)
    if choice.living is None or choice.price is None:
        return f"{name} · {_('no part number')}"
    return f"{name} · {choice.living.number} · {format_amount(choice.price, currency)}"


def operation_groups(
    operations: Iterable[LabourOperation],
) -> list[tuple[str, list[tuple[int, str]]]]:
    return [
        (system, [(one.pk, f"{one.code} {one.text} · {hours(one.tenths)} h") for one in group])
        for system, group in groupby(operations, key=lambda operation: operation.system.name)
    ]


def shortened(words: str) -> str:
    return words if len(words) <= 70 else f"{words[:67].rstrip()}…"
