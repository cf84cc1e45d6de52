"""What is at fault, and what shows it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Component, FailureMode, Position
from diagnostics.queries.evidence import Candidate
from diagnostics.services.conclusions import Finding
from jobs.queries.suspects import Suspect
from shop.web.forms import ActForm

NO_FAULT = "none"


class ConclusionForm(ActForm):
    """Component and place are one choice, because a suspect is a unit at a place."""

    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    unit = forms.ChoiceField(
        label=_("At fault"),
        error_messages={
            "required": _("Choose the assembly at fault, or that no fault was found."),
            "invalid_choice": _("Choose one of the assemblies listed."),
        },
    )
    failure_mode = forms.ModelChoiceField(
        FailureMode.objects.none(),
        label=_("How it failed"),
        required=False,
        empty_label=_("Choose how it failed"),
    )
    words = forms.CharField(
        label=_("In your own words"),
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 3}),
    )
    evidence = forms.MultipleChoiceField(
        label=_("What shows it"), required=False, widget=forms.CheckboxSelectMultiple
    )
    without_evidence = forms.BooleanField(
        label=_("Conclude without evidence; it is marked so everywhere"), required=False
    )

    def __init__(
        self,
        *args: Any,
        suspects: Sequence[Suspect],
        candidates: Sequence[Candidate],
        component: Component | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        self.suspects = {suspect.key: suspect for suspect in suspects}
        fields["unit"].choices = [
            *((suspect.key, suspect.words) for suspect in suspects),
            (NO_FAULT, _("No fault found")),
        ]
        fields["failure_mode"].quiet = True
        fields["evidence"].choices = [(one.key, one.words) for one in candidates]
        if component:
            modes = FailureMode.objects.filter(component=component, retired=False)
            fields["failure_mode"].queryset = modes

    def finding(self) -> Finding:
        data = self.cleaned_data
        suspect = self.suspects.get(data["unit"])
        return Finding(
            component=suspect.component if suspect else None,
            position=suspect.position if suspect else Position.NONE,
            failure_mode=data["failure_mode"] if suspect else None,
            no_fault_found=suspect is None,
            words=data["words"],
        )
