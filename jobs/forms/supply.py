"""Placing an order with one supplier: a line for each part, and a few of one's own."""

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

OWN_LINES = 4  # lines for what no job and no level asks for


def pieces_field(
    label: Any, *, least: int = 0, required: bool = False, initial: int | None = None
) -> forms.IntegerField:
    """A number of pieces; where it is not required, empty is nought."""
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=MOST,
        required=required,
        initial=initial,
        widget=forms.NumberInput({"inputmode": "numeric", "min": str(least)}),
        error_messages={
            "invalid": _("Type a whole number."),
            "min_value": _("Type %(limit_value)s or more."),
            "max_value": _("Type at most %(limit_value)s."),
        },
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

    def __init__(self, *args: Any, needs: Sequence[Need], named: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.needs = needs
        if self.initial.get("expected_on"):
            self.fields["expected_on"].help_text = _(
                "By how long this supplier usually takes. Write the day they tell you."
            )
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
        for end in _OWN_ENDS:
            self.fields |= _own_fields(end)

    @property
    def rows(self) -> list[PlaceRow]:
        return [
            PlaceRow(need, self[f"quantity-{need.key}"], self[f"cost-{need.key}"])
            for need in self.needs
        ]

    @property
    def own_rows(self) -> list[list[forms.BoundField]]:
        return [[self[f"own_{name}{end}"] for name in _OWN] for end in _OWN_ENDS]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for end in _OWN_ENDS:
            number, text, quantity, cost = (data.get(f"own_{name}{end}") for name in _OWN)
            if not number and (text or quantity or cost):
                self._ask(f"own_number{end}", _("Type the part number."))
            if number and not quantity:
                self._ask(f"own_quantity{end}", _("Type how many."))
        return data

    def _ask(self, name: str, sentence: Any) -> None:
        """For what is missing in a line, unless it is there and wrong in itself."""
        if name not in self.errors:
            self.add_error(name, sentence)

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
        return lines + [
            Wanted(
                part_number=data[f"own_number{end}"].strip().upper(),
                quantity=data[f"own_quantity{end}"],
                unit_cost=data[f"own_cost{end}"] or Decimal(0),
                text=data[f"own_text{end}"],
            )
            for end in _OWN_ENDS
            if data[f"own_number{end}"]
        ]


_OWN = ("number", "text", "quantity", "cost")
_OWN_ENDS = ("", *(f"_{n}" for n in range(2, OWN_LINES + 1)))


def _own_fields(end: str) -> dict[str, forms.Field]:
    return {
        f"own_number{end}": forms.CharField(
            label=_("Part number"), max_length=40, required=False, widget=mono()
        ),
        f"own_text{end}": forms.CharField(label=_("What it is"), max_length=160, required=False),
        f"own_quantity{end}": pieces_field(_("Pieces")),
        f"own_cost{end}": AmountField(label=_("Cost of one"), required=False),
    }
