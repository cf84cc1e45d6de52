"""A field to sign in with finger, pen or mouse; without it the typed name stands."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import signature


class SignaturePad(forms.Widget):
    """An SVG to draw on (signature.js) over a hidden input that holds the strokes."""

    template_name = "form/signature.html"
    use_fieldset = True

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        drawn = signature.path_of(str(value or ""))
        pad = {"path": drawn, "width": signature.WIDTH, "height": signature.HEIGHT}
        # Several forms stand on one page: `attrs` carries the id of this one's field.
        pad["most_points"], pad["most_strokes"] = signature.MOST_POINTS, signature.MOST_STROKES
        context["pad"] = pad
        return context


class SignatureField(forms.CharField):
    """Strokes as jobs.signature keeps them; empty when nobody signed."""

    widget = SignaturePad
    look = "wide"

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("Signature"))
        kwargs.setdefault("required", False)
        kwargs.setdefault(
            "help_text",
            _(
                "With finger, pen or mouse. May stay empty: the typed name counts too, and by "
                "telephone nobody signs."
            ),
        )
        super().__init__(max_length=signature.LONGEST, **kwargs)

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        try:
            return signature.written(signature.parse(text))
        except signature.SignatureError as error:
            raise forms.ValidationError(error.sentence) from error
