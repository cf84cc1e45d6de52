"""The answer to an estimate, line by line, and authority to look for the fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import LabourOperation
from jobs.forms.answering import ANSWER_FIELDS, AnsweringForm
from jobs.forms.estimate import operation_groups, shortened
from jobs.forms.fields import AmountField, HoursField
from jobs.models import Complaint, RepairOrder
from jobs.queries.estimate import ComplaintSheet, EstimateSheet
from shop.money import format_amount

ANSWERS = (
    (Complaint.Decision.AUTHORISED.value, _("authorised")),
    (Complaint.Decision.DECLINED.value, _("declined")),
    ("", _("not answered yet")),
)


class AuthorityForm(AnsweringForm):
    """One answer field per complaint, `answer_<pk>`, beside who, how, when and a note."""

    def __init__(
        self, *args: Any, order: RepairOrder, sheet: EstimateSheet, currency: str, **kwargs: Any
    ) -> None:
        last = sheet.last
        said = {"who": last.given_to, "how": last.how, "contact": last.contact} if last else {}
        super().__init__(*args, order=order, initial=said, **kwargs)
        for one in sheet.complaints:
            if one.complaint.decision != Complaint.Decision.DECLINED:
                self.fields[f"answer_{one.complaint.pk}"] = _answer_field(one, currency)
        self.order_fields([*self.answer_names, *ANSWER_FIELDS])

    @property
    def answer_names(self) -> list[str]:
        return [name for name in self.fields if name.startswith("answer_")]

    @property
    def answers(self) -> Iterator[forms.BoundField]:
        """The fields of the complaints, for the template."""
        return (self[name] for name in self.answer_names)

    @property
    def rest(self) -> Iterator[forms.BoundField]:
        """The fields of the answer as a whole."""
        answers = self.answer_names
        return (field for field in self.visible_fields() if field.name not in answers)

    @property
    def decisions(self) -> Mapping[int, str]:
        """Complaint pk -> decision, only of those answered."""
        return {
            int(name.removeprefix("answer_")): self.cleaned_data[name]
            for name in self.answer_names
            if self.cleaned_data.get(name)
        }


class DiagnosisForm(AnsweringForm):
    """How far one may look for the fault of a complaint: hours, or an amount."""

    complaint = forms.TypedChoiceField(label=_("For the complaint"), coerce=int)
    operation = forms.TypedChoiceField(
        label=_("Diagnosis"), required=False, coerce=int, empty_value=None
    )
    hours = HoursField(
        label=_("Hours"), required=False, help_text=_("Empty: as the catalogue allows.")
    )
    amount = AmountField(
        label=_("Or up to an amount, before tax"),
        required=False,
        help_text=_("As many tenths of an hour as it covers."),
    )

    def __init__(
        self,
        *args: Any,
        order: RepairOrder,
        complaints: Sequence[Complaint],
        operations: Sequence[LabourOperation],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, order=order, **kwargs)
        fields: dict[str, Any] = self.fields
        self.by_key = {one.pk: one for one in operations if one.diagnosis}
        fields["operation"].choices = [
            ("", _("No operation of the catalogue")),
            *operation_groups(self.by_key.values()),
        ]
        fields["complaint"].choices = [
            (one.pk, f"{one.line} · {shortened(one.words)}") for one in complaints
        ]
        fields["operation"].look = "wide"
        if len(complaints) == 1:
            fields["complaint"].widget = forms.HiddenInput()
            fields["complaint"].initial = complaints[0].pk
        currency = order.workshop.currency
        fields["amount"].currency = fields["amount"].unit = currency
        self.order_fields(["complaint", "operation", "hours", "amount", *ANSWER_FIELDS])

    @property
    def chosen(self) -> LabourOperation | None:
        return self.by_key.get(self.cleaned_data["operation"])


def _answer_field(one: ComplaintSheet, currency: str) -> forms.ChoiceField:
    complaint = one.complaint
    price = format_amount(one.total, currency) if one.total else _("nothing to pay")
    if one.other:
        price = _("%(price)s, of which the customer pays %(part)s") % {
            "price": price,
            "part": format_amount(one.customer, currency),
        }
    # Nothing is taken as agreed before it was said.
    initial = "" if complaint.decision == Complaint.Decision.UNDECIDED else complaint.decision
    return forms.ChoiceField(
        label=f"{complaint.line} · {complaint.words} · {price}",
        choices=ANSWERS,
        widget=forms.RadioSelect,
        required=False,
        initial=initial,
    )
