"""The acts on a job as a whole."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import ChassisSystem
from jobs.forms.fields import PromiseField
from jobs.forms.own_ids import OwnIds
from jobs.models import Payer, RepairOrder
from jobs.stages import Move
from shop.actor import Actor
from shop.models import Bay, User
from shop.queries.people import bays_of, technicians_of
from shop.web.forms import ActForm, MoveForm

# Moves with a page of their own: the answer to an estimate, a wrong part, the vehicle leaving.
ELSEWHERE = frozenset(
    {
        Move.AUTHORISE,
        Move.AUTHORISE_AT_HAND,
        Move.DECLINE,
        Move.GO_ON_PROVING,
        Move.WRONG_ASSEMBLY,
        Move.RELEASE,
        Move.LEAVE_UNREPAIRED,
    }
)
BY_HAND = tuple(move for move in Move if move not in ELSEWHERE)


class StageMoveForm(OwnIds, MoveForm):
    """Which move; the reason is asked by the service where the table asks it."""

    move = forms.TypedChoiceField(
        choices=[(move.value, move.value) for move in BY_HAND],
        coerce=Move,
        widget=forms.HiddenInput,
    )
    reason = forms.CharField(
        label=_("Why"), required=False, max_length=500, widget=forms.Textarea({"rows": 2})
    )


class AssignForm(OwnIds, MoveForm):
    technician = forms.ModelChoiceField(
        User.objects.none(), label=_("Technician"), required=False, empty_label=_("Nobody yet")
    )
    bay = forms.ModelChoiceField(
        Bay.objects.none(), label=_("Bay"), required=False, empty_label=_("No bay yet")
    )
    promised_at = PromiseField()

    def __init__(self, *args: Any, actor: Actor, order: RepairOrder, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "technician": order.technician_id,
            "bay": order.bay_id,
            "promised_at": order.promised_at,
            "revision": order.revision,
        }
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["technician"].queryset = technicians_of(actor)
        fields["bay"].queryset = bays_of(actor).filter(in_use=True)


class UnsafeForm(OwnIds, ActForm):
    because = forms.CharField(
        label=_("Why the vehicle must not be driven"),
        max_length=500,
        widget=forms.Textarea({"rows": 2}),
    )


class LiftForm(OwnIds, ActForm):
    reason = forms.CharField(
        label=_("Why the vehicle may be driven again, or how it is carried away"),
        max_length=500,
        help_text=_("Prints on the repair order with your name."),
        widget=forms.Textarea({"rows": 2}),
    )


class ComplaintForm(OwnIds, ActForm):
    words = forms.CharField(
        label=_("In the customer's words"),
        max_length=2000,
        widget=forms.Textarea({"rows": 2}),
        error_messages={"required": _("Write the complaint in the customer's own words.")},
    )
    system = forms.ModelChoiceField(
        ChassisSystem.objects.all(),
        label=_("About"),
        required=False,
        empty_label=_("Not known yet"),
    )
    payer = forms.ChoiceField(label=_("Payer"), choices=Payer.choices, initial=Payer.CUSTOMER)


class CorrectionForm(OwnIds, ActForm):
    text = forms.CharField(
        label=_("What was done about it"),
        max_length=2000,
        widget=forms.Textarea({"rows": 3}),
        error_messages={"required": _("Write what was replaced, repaired or found in order.")},
    )
