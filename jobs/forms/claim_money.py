"""Taking a payer's file, settling its lines, and booking money of a payer by hand."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.claims.payment_file import read
from jobs.claims.payment_text import MOST_BYTES
from jobs.claims.payment_values import Habits
from jobs.models import Claim, ClaimPayer
from jobs.queries.payment_files import named, payers_of
from shop import clock
from shop.actor import Actor
from shop.web.forms import ActForm

COLUMNS: tuple[tuple[str, Any], ...] = (
    ("claim", _("our number of the claim; without it the order or the VIN tells which it is")),
    ("order", _("the number of the repair order")),
    ("vin", _("the vehicle’s identification number")),
    ("paid_on", _("2026-11-25, 25.11.2026, or with strokes")),
    ("kind", _("“paid” or “taken back”; empty is paid")),
    ("labour", _("with parts, handling, sublet and tax: what of the amount was paid for it")),
    ("amount", _("the sum of the line; below zero only where it was taken back")),
    ("reference", _("the payer’s own number of the payment")),
)
_AS_SHOWN = ("", _("as the file shows"))


class FileForm(ActForm):
    """Everything that is wrong in the file is said at once, each line by itself."""

    payer = forms.ModelChoiceField(
        ClaimPayer.objects.none(), label=_("Whose file"), empty_label=_("Choose the payer")
    )
    file = forms.FileField(
        label=_("File"),
        widget=forms.ClearableFileInput({"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
        allow_empty_file=True,
        help_text=_("CSV with commas, semicolons or tabs. Which columns it needs stands below."),
    )
    decimal = forms.ChoiceField(
        label=_("Before the cents stands"),
        choices=[_AS_SHOWN, (".", _("a point: 1,234.50")), (",", _("a comma: 1.234,50"))],
        required=False,
    )
    dates = forms.ChoiceField(
        label=_("In 04/05/2026 comes first"),
        choices=[_AS_SHOWN, ("day", _("the day")), ("month", _("the month"))],
        required=False,
    )

    def __init__(self, actor: Actor, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        payer = self.fields["payer"]
        assert isinstance(payer, forms.ModelChoiceField)
        payer.queryset = payers_of(actor)
        fields: dict[str, Any] = self.fields
        fields["decimal"].quiet = fields["dates"].quiet = True
        self.raw = b""

    @property
    def told(self) -> Habits:
        return Habits(self.cleaned_data["decimal"], self.cleaned_data["dates"])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        sent = data.get("file")
        if sent is None or {"decimal", "dates"} & set(self.errors):
            return data
        self.raw = sent.read(MOST_BYTES + 1)
        found = read(self.raw, today=clock.today(), told=Habits(data["decimal"], data["dates"]))
        for problem in found.problems:
            self.add_error("file", problem.words)
        return data


class SettleForm(ActForm):
    """For which claim a line is booked; `sure` is shown once it was asked."""

    claim = forms.CharField(label=_("It pays claim"), max_length=20)
    sure = forms.BooleanField(label=_("Yes, the payer really paid this"), required=False)

    def __init__(self, actor: Actor, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor

    def clean_claim(self) -> Claim:
        found = named(self.actor, self.cleaned_data["claim"])
        if found is None:
            raise forms.ValidationError(
                _("There is no claim of this number here. Type it as our list has it.")
            )
        return found


class AsideForm(ActForm):
    because = forms.CharField(label=_("Why it is left out"), max_length=200)
