"""What every form of an act has."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

_OF_THE_SENDING = {"act", "csrfmiddlewaretoken"}


def ask_plainly(form: forms.Form) -> None:
    """A field left empty that has no sentence of its own gets a short one."""
    usual = forms.Field.default_error_messages["required"]
    for field in form.fields.values():
        if field.error_messages.get("required") == usual:
            field.error_messages["required"] = _("Fill this in.")


class ActForm(forms.Form):
    """A form whose sending is one act; the tablet replaces the UUID with its own."""

    act = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    template_name = "form/form.html"
    required_css_class = "required"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        ask_plainly(self)

    @property
    def act_id(self) -> UUID:
        act: UUID = self.cleaned_data["act"]
        return act

    @property
    def as_sent(self) -> list[tuple[str, list[str]]]:
        """Everything that was typed and ticked, as it came, but for the act and the token."""
        lists = self.data.lists() if isinstance(self.data, QueryDict) else ()
        return sorted((name, values) for name, values in lists if name not in _OF_THE_SENDING)


class MoveForm(ActForm):
    """An act on something that others may change meanwhile: carries the revision it saw."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
