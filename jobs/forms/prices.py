"""Labour rates for each payer, the markup on parts, and taxes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField
from jobs.forms.percent import PercentField
from jobs.markup import Band, BandError, check_bands
from jobs.models import Payer, Tax, Terms
from jobs.services.taxes import TaxInput
from shop.web.forms import MoveForm

ROWS, SHOWN, MORE = 8, 5, 2


class RatesForm(MoveForm):
    """One field for each payer; a rate of nothing asks whether it is meant."""

    nothing_is_meant = forms.BooleanField(
        label=_("Yes, labour for this payer costs nothing"), required=False
    )

    def __init__(self, *args: Any, usual: Decimal = Decimal(0), **kwargs: Any) -> None:
        """`usual` is the workshop's own rate, shown faintly where a payer has none."""
        super().__init__(*args, **kwargs)
        for payer in Payer:
            field = AmountField(label=payer.label.capitalize(), required=False)
            field.quiet = True  # type: ignore[attr-defined]
            field.unit = _("/ h")  # type: ignore[attr-defined]
            if usual:
                field.widget.attrs["placeholder"] = str(usual)
            self.fields[payer.value] = field
        self.asks_nothing = False

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self.asks_nothing = any(data.get(payer.value) == 0 for payer in Payer)
        return data

    def payers(self) -> list[forms.BoundField]:
        return [self[payer.value] for payer in Payer]

    def rates(self) -> Mapping[str, Decimal | None]:
        return {payer.value: self.cleaned_data[payer.value] for payer in Payer}


class MarkupForm(MoveForm):
    """A table of bands; rows left empty are no bands."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in range(ROWS):
            number = row + 1
            cost = AmountField(label=_("Band %d: from a cost of") % number, required=False)
            percent = PercentField(label=_("Band %d: markup") % number, required=False)
            self.fields[f"from_cost_{row}"], self.fields[f"percent_{row}"] = cost, percent

    @staticmethod
    def initial_of(bands: Sequence[Band]) -> dict[str, Decimal]:
        found: dict[str, Decimal] = {}
        for row, band in enumerate(bands):
            found |= {f"from_cost_{row}": band.from_cost, f"percent_{row}": band.percent}
        return found

    def rows(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        """The rows that hold something, and a few empty ones to type into."""
        pairs = [(self[f"from_cost_{row}"], self[f"percent_{row}"]) for row in range(ROWS)]
        filled = [row for row, pair in enumerate(pairs) if any(_holds(one) for one in pair)]
        shown = max(SHOWN, (filled[-1] + 1 if filled else 0) + MORE)
        yield from pairs[:shown]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self.bands: list[Band] = []
        places: list[int] = []
        for row in range(ROWS):
            cost, percent = data.get(f"from_cost_{row}"), data.get(f"percent_{row}")
            if cost is not None and percent is not None:
                self.bands.append(Band(cost, percent))
                places.append(row)
            elif percent is not None and f"from_cost_{row}" in data:
                self.add_error(f"from_cost_{row}", _("Type the cost from which this holds."))
            elif cost is not None and f"percent_{row}" in data:
                self.add_error(f"percent_{row}", _("Type the markup, or empty the row."))
        if not self.errors:
            try:
                check_bands(self.bands)
            except BandError as error:
                self.add_error(f"{error.figure}_{places[error.row]}", error.sentence)
        return data


def _holds(field: forms.BoundField) -> bool:
    return field.value() not in (None, "")


class TaxForm(MoveForm):
    name = forms.CharField(label=_("Name on papers"), max_length=40)
    percent = PercentField(label=_("Rate"), places=3)
    on_assemblies = forms.BooleanField(label=_("on parts and materials"), required=False)
    on_labour = forms.BooleanField(label=_("on labour"), required=False)
    on_sublet = forms.BooleanField(label=_("on sublet work"), required=False)
    customer_only = forms.BooleanField(
        label=_("only on what the customer pays, not on what a warranty or contract bears"),
        required=False,
    )

    @classmethod
    def of(cls, tax: Tax, revision: int) -> TaxForm:
        names = TaxInput.__slots__
        return cls(initial={name: getattr(tax, name) for name in names} | {"revision": revision})

    def tax(self) -> TaxInput:
        return TaxInput(**{name: self.cleaned_data[name] for name in TaxInput.__slots__})


class RetireForm(MoveForm):
    pass


class TaxRoundingForm(MoveForm):
    tax_rounding = forms.ChoiceField(
        label=_("Tax is rounded"), choices=Terms.TaxRounding.choices, widget=forms.RadioSelect
    )
