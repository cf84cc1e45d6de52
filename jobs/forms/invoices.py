"""Issuing an invoice, and crediting what stands on one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField
from jobs.forms.signature import SignatureField
from jobs.models import InvoiceLine
from shop.web.forms import ActForm, MoveForm


class IssueForm(MoveForm):
    """`seen` is the total that stood on the page when the button was pressed."""

    seen = forms.DecimalField(widget=forms.HiddenInput, max_digits=12, decimal_places=2)
    signature = SignatureField(
        label=_("Signature of the customer"),
        help_text=_("May stay empty: the paper has room to sign."),
    )


@dataclass(frozen=True, slots=True)
class CreditRow:
    line: InvoiceLine
    left: Decimal
    field: forms.BoundField


class CreditForm(ActForm):
    """All that is left, or amounts before tax beside chosen lines."""

    because = forms.CharField(
        label=_("Why it is credited (prints)"),
        max_length=500,
        widget=forms.Textarea({"rows": 2}),
    )
    whole = forms.BooleanField(label=_("All that is left of the invoice"), required=False)

    def __init__(
        self, *args: Any, left: Sequence[tuple[InvoiceLine, Decimal]], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.left = left
        for line, _amount in left:
            field = AmountField(label=_("Credit of %(text)s") % {"text": line.text}, required=False)
            field.currency = currency
            self.fields[f"line-{line.pk}"] = field

    @property
    def rows(self) -> list[CreditRow]:
        return [CreditRow(line, left, self[f"line-{line.pk}"]) for line, left in self.left]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        typed = [name for name in data if name.startswith("line-") and data[name]]
        if data.get("whole") and typed:
            self.add_error("whole", _("Either all that is left, or amounts beside lines."))
        elif not data.get("whole") and not typed and not self.errors:
            self.add_error("whole", _("Tick this, or type an amount beside a line."))
        return data

    def amounts(self) -> dict[int, Decimal] | None:
        if self.cleaned_data["whole"]:
            return None
        found = {line.pk: self.cleaned_data[f"line-{line.pk}"] for line, _left in self.left}
        return {key: amount for key, amount in found.items() if amount}
