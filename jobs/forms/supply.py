"""Placing an order with one supplier: a line for each part, and one of one's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField, mono
from jobs.forms.parts import ChosenForm, day_field
from jobs.queries.to_order import Need
from jobs.services.supply import MOST, Wanted


def pieces_field(label: Any, **kwargs: Any) -> forms.IntegerField:
    """A number of pieces; empty is nought."""
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.NumberInput({"inputmode": "numeric", "min": "0"}),
        **kwargs,
    )


@dataclass(frozen=True, slots=True)
class PlaceRow:
    need: Need
    quantity: forms.BoundField
    cost: forms.BoundField


class PlaceForm(ChosenForm):
    """`replacements` are the assemblies that the clerk saw waiting when he typed quantities."""

    expected_on = day_field(_("Expected on"))
    reference = forms.CharField(
        label=_("Their order reference"), max_length=60, required=False, widget=mono()
    )
    note = forms.CharField(
        label=_("Note to the supplier"), required=False, widget=forms.Textarea({"rows": 2})
    )
    own_number = forms.CharField(
        label=_("Part number"), max_length=40, required=False, widget=mono()
    )
    own_text = forms.CharField(label=_("What it is"), max_length=160, required=False)
    own_quantity = pieces_field(_("Pieces"))
    own_cost = AmountField(label=_("Cost of one"), required=False)

    def __init__(self, *args: Any, needs: Sequence[Need], named: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.needs = needs
        if not named:
            self.fields["supplier"] = forms.CharField(label=_("Supplier"), max_length=80)
        for need in needs:
            words = {"number": need.part_number}
            self.fields[f"quantity-{need.key}"] = pieces_field(
                _("Pieces of %(number)s") % words, initial=need.to_order
            )
            self.fields[f"cost-{need.key}"] = AmountField(
                label=_("Cost of one %(number)s") % words,
                required=False,
                initial=f"{need.unit_cost:.2f}" if need.unit_cost else "",
            )

    @property
    def rows(self) -> list[PlaceRow]:
        return [
            PlaceRow(need, self[f"quantity-{need.key}"], self[f"cost-{need.key}"])
            for need in self.needs
        ]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("own_quantity") and not data.get("own_number"):
            self.add_error("own_number", _("Type the part number."))
        if data.get("own_number") and not data.get("own_quantity"):
            self.add_error("own_quantity", _("Type how many."))
        return data

    def lines(self) -> list[Wanted]:
        """What is to be ordered; with the jobs that nothing on the shelf or on order serves."""
        data = self.cleaned_data
        lines = [
            Wanted(
                part_number=need.part_number,
                quantity=data[f"quantity-{need.key}"] or 0,
                unit_cost=data[f"cost-{need.key}"] or Decimal(0),
                text=need.text,
                component=need.component,
                replacements=tuple(job.row.pk for job in need.jobs if not job.covered),
            )
            for need in self.needs
        ]
        if data.get("own_number"):
            lines.append(
                Wanted(
                    part_number=data["own_number"].strip().upper(),
                    quantity=data["own_quantity"] or 0,
                    unit_cost=data["own_cost"] or Decimal(0),
                    text=data["own_text"],
                )
            )
        return lines
