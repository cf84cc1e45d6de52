"""Sending a claim, and recording what its payer answered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField
from jobs.forms.own_ids import OwnIds
from jobs.models import Claim, ClaimAnswer, ClaimLine
from jobs.queries.claim_lacking import lacking_of
from jobs.queries.claim_out import Out
from jobs.services.claim_answers import Said
from shop import clock
from shop.actor import Actor
from shop.roles import Permit
from shop.web.forms import ActForm, MoveForm

_LONG = forms.Textarea({"rows": 3})
_NOT_A_DAY = {"invalid": _("Write a day such as 2026-05-04.")}


def _day(**more: Any) -> forms.DateField:
    widget = forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(widget=widget, error_messages=_NOT_A_DAY, **more)


class SendForm(OwnIds, MoveForm):
    """`again` asks what changed, `lacking` that what is missing is known."""

    by_way_of = forms.CharField(
        label=_("How it went out"),
        max_length=80,
        help_text=_("The payer’s portal, post, your own e-mail. Nothing is sent from here."),
    )
    changed = forms.CharField(
        label=_("What changed since the last time"),
        widget=_LONG,
        error_messages={"required": _("Say what changed; the payer reads it first.")},
    )
    lacking_known = forms.BooleanField(
        label=_("I know what is missing and send it all the same"), required=False
    )

    def __init__(self, *args: Any, again: bool = False, lacking: int = 0, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not again:
            del self.fields["changed"]
        if not lacking:
            del self.fields["lacking_known"]


class AnswerForm(OwnIds, ActForm):
    """What does not belong to the chosen kind may stay empty; `revision` is the claim as seen."""

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    kind = forms.ChoiceField(
        label=_("The payer"), choices=ClaimAnswer.Kind.choices, widget=forms.RadioSelect
    )
    answered_on = _day(label=_("Answered on"))
    agreed = AmountField(
        label=_("Agreed, of the whole claim"),
        required=False,
        help_text=_("When it was accepted for less. Or line by line below."),
    )
    reason = forms.ChoiceField(
        label=_("Reason"), choices=ClaimAnswer.Reason.choices, required=False
    )
    wanted_by = _day(
        label=_("Wanted by"),
        required=False,
        help_text=_("When the payer wants to know more, or wants the part."),
    )
    words = forms.CharField(label=_("In the payer’s words"), widget=_LONG, required=False)
    reference = forms.CharField(label=_("The payer’s reference"), max_length=60, required=False)

    def __init__(
        self, *args: Any, lines: Sequence[ClaimLine] = (), currency: str = "", **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.line_names = {f"line-{line.pk}": line for line in lines}
        for name, line in self.line_names.items():
            self.fields[name] = AmountField(label=line.text, required=False)
        for field in self.fields.values():
            field.quiet = True  # type: ignore[attr-defined]
            if isinstance(field, AmountField):
                field.currency = currency

    @property
    def whole(self) -> list[forms.BoundField]:
        hidden = {"act", "revision", *self.line_names}
        return [self[name] for name in self.fields if name not in hidden]

    @property
    def by_line(self) -> list[forms.BoundField]:
        return [self[name] for name in self.line_names]

    @property
    def some_line(self) -> bool:
        return self.is_bound and any(field.value() or field.errors for field in self.by_line)

    @property
    def said(self) -> Said:
        data = dict(self.cleaned_data)
        lines = {line.pk: data.pop(name) for name, line in self.line_names.items()}
        del data["act"], data["revision"]
        return Said(**data, lines={pk: one for pk, one in lines.items() if one is not None})


def send_form(claim: Claim, out: Out, data: Any = None) -> SendForm:
    return SendForm(
        data,
        initial={"revision": claim.revision},
        again=out.last is not None,
        lacking=len(lacking_of(claim, on=clock.today())),
    )


def answer_form(claim: Claim, data: Any = None) -> AnswerForm:
    return AnswerForm(
        data,
        initial={"answered_on": clock.today(), "revision": claim.revision},
        lines=list(claim.lines.all()),
        currency=claim.workshop.currency,
    )


def out_forms(actor: Actor, claim: Claim, out: Out) -> dict[str, forms.Form]:
    """What this person may do now."""
    offered: dict[str, forms.Form] = {}
    if not actor.may(Permit.PREPARE_CLAIM):
        return offered
    if out.may_send:
        offered["send_form"] = send_form(claim, out)
    if out.may_answer:
        offered["answer_form"] = answer_form(claim)
    return offered
