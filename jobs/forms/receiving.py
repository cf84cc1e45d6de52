"""What came of an order: good, wrong and damaged, line by line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField, mono
from jobs.forms.own_ids import OwnIds
from jobs.forms.parts import day_field
from jobs.forms.supply import pieces_field
from jobs.queries.supply import OrderLine
from jobs.services.receiving import Came
from shop.web.forms import ActForm, MoveForm

_FOUND = ("good", "wrong", "damaged")
_LABELS = {
    "good": _("%(number)s, good"),
    "wrong": _("%(number)s, wrong part"),
    "damaged": _("%(number)s, damaged"),
}


@dataclass(frozen=True, slots=True)
class CameRow:
    line: OrderLine
    good: forms.BoundField
    wrong: forms.BoundField
    damaged: forms.BoundField
    cost: forms.BoundField

    @property
    def fields(self) -> tuple[forms.BoundField, ...]:
        return (self.good, self.wrong, self.damaged, self.cost)


class DeliveryForm(OwnIds, ActForm):
    """One delivery. `everything` books in as good whatever is awaited."""

    delivery_note = forms.CharField(
        label=_("Delivery note"), max_length=60, required=False, widget=mono()
    )
    because = forms.CharField(label=_("What is wrong or damaged"), max_length=200, required=False)
    again = forms.ChoiceField(
        label=_("For wrong and damaged pieces the supplier"),
        choices=[("on", _("sends them again")), ("off", _("gives credit"))],
        initial="on",
        required=False,
        widget=forms.RadioSelect,
    )
    hand_over = forms.BooleanField(
        label=_("Hand over to the Bay each job that is complete"), required=False, initial=True
    )
    everything = forms.BooleanField(required=False)

    def __init__(self, *args: Any, lines: Sequence[OrderLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = [line for line in lines if line.row.awaited or self._typed(line)]
        for line in self.lines:
            words = {"number": line.row.part_number}
            for found in _FOUND:
                name = f"{found}-{line.row.pk}"
                self.fields[name] = pieces_field(_LABELS[found] % words)
            self.fields[f"cost-{line.row.pk}"] = AmountField(
                label=_("Cost of one %(number)s, if it differs") % words, required=False
            )
            self.fields[f"revision-{line.row.pk}"] = forms.IntegerField(required=False)

    def _typed(self, line: OrderLine) -> bool:
        """Something came of it by this sending: whoever was quicker is told, not left out."""
        sent = (str(self.data.get(f"{found}-{line.row.pk}", "")).strip() for found in _FOUND)
        return any(value not in ("", "0") for value in sent)

    def clean_again(self) -> bool:
        return bool(self.cleaned_data["again"] != "off")

    @property
    def rows(self) -> list[CameRow]:
        names = (*_FOUND, "cost")
        return [
            CameRow(line, *(self[f"{name}-{line.row.pk}"] for name in names)) for line in self.lines
        ]

    @property
    def problems(self) -> list[str]:
        """What is wrong with the numbers of the table, each said with its line."""
        return [
            f"{field.label}: {sentence}"
            for row in self.rows
            for field in row.fields
            for sentence in field.errors
        ]

    def came(self) -> list[Came]:
        """The lines as the clerk saw them: a line that changed since is told by its revision."""
        data = self.cleaned_data
        return [self._came(line, data) for line in self.lines]

    def _came(self, line: OrderLine, data: dict[str, Any]) -> Came:
        pk = line.row.pk
        seen = data.get(f"revision-{pk}")
        good, wrong, damaged = (data.get(f"{found}-{pk}") or 0 for found in _FOUND)
        if data["everything"]:
            good = line.row.awaited
        return Came(
            line=pk,
            revision=-1 if seen is None else seen,
            good=good,
            wrong=wrong,
            damaged=damaged,
            again=data["again"],
            unit_cost=data.get(f"cost-{pk}"),
            because=data["because"],
        )


class PutOffForm(OwnIds, MoveForm):
    expected_on = day_field(_("The rest is expected on"))
    because = forms.CharField(label=_("In the supplier’s words"), max_length=200)


class CutForm(OwnIds, MoveForm):
    quantity = pieces_field(_("Pieces that will not come"), least=1, required=True)
    because = forms.CharField(label=_("Why"), max_length=200)


class VoidForm(OwnIds, ActForm):
    because = forms.CharField(label=_("Why this order is taken back"), max_length=200)
