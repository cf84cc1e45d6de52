"""Pressing the clock: nothing but the act, and where the button was."""

from __future__ import annotations

from django import forms

from shop.web.forms import ActForm


class PressForm(ActForm):
    at_bay = forms.BooleanField(required=False, widget=forms.HiddenInput)
