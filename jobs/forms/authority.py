"""The answer to an estimate: who said what to which line, how and when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.forms.own_ids import OwnIds
from jobs.models import Complaint, How, RepairOrder
from jobs.queries.estimate import EstimateSheet
from shop import clock
from shop.money import format_amount
from shop.web.forms import MoveForm

ANSWERS = (
    (Complaint.Decision.AUTHORISED.value, _("authorised")),
    (Complaint.Decision.DECLINED.value, _("declined")),
    ("", _("not answered yet")),
)
AT = "%Y-%m-%dT%H:%M"


class AuthorityForm(OwnIds, MoveForm):
    """One answer field per complaint, `answer_<pk>`, beside who, how, when and a note."""

    who = forms.CharField(label=_("Who answered"), max_length=120)
    how = forms.ChoiceField(label=_("How"), choices=How.choices)
    contact = forms.CharField(label=_("Number or address used"), max_length=120, required=False)
    answered_at = forms.DateTimeField(
        label=_("When"),
        widget=forms.DateTimeInput({"type": "datetime-local"}, format=AT),
        input_formats=[AT, "%Y-%m-%d %H:%M"],
        error_messages={"invalid": _("Write a date and a time, such as 2026-05-04 16:30.")},
    )
    note = forms.CharField(
        label=_("What else was said"),
        max_length=1000,
        required=False,
        widget=forms.Textarea({"rows": 2}),
        help_text=_("For example: wants the old part back."),
    )

    def __init__(
        self, *args: Any, order: RepairOrder, sheet: EstimateSheet, currency: str, **kwargs: Any
    ) -> None:
        last = sheet.last
        kwargs["initial"] = {
            "revision": order.revision,
            "who": last.given_to if last else order.customer.name,
            "how": last.how if last else How.PHONE,
            "contact": last.contact if last else order.customer.phone,
            "answered_at": timezone.localtime(clock.now()).strftime(AT),
        }
        super().__init__(*args, **kwargs)
        for one in sheet.complaints:
            if one.complaint.decision != Complaint.Decision.DECLINED:
                field = _answer_field(one.complaint, one.total, currency)
                self.fields[f"answer_{one.complaint.pk}"] = field
        self.order_fields([*self.answer_names, "who", "how", "contact", "answered_at", "note"])

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


def _answer_field(complaint: Complaint, total: Decimal, currency: str) -> forms.ChoiceField:
    price = format_amount(total, currency) if total else _("nothing to pay")
    # Nothing is taken as agreed before it was said.
    initial = "" if complaint.decision == Complaint.Decision.UNDECIDED else complaint.decision
    return forms.ChoiceField(
        label=f"{complaint.line} · {complaint.words} · {price}",
        choices=ANSWERS,
        widget=forms.RadioSelect,
        required=False,
        initial=initial,
    )
