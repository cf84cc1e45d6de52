"""The one touch that sets how many of a part are kept."""

from __future__ import annotations

from django import forms

from jobs.services.shelf import MOST_TO_KEEP
from shop.web.forms import ActForm


class KeepForm(ActForm):
    part_number = forms.CharField(max_length=40)
    level = forms.IntegerField(min_value=0, max_value=MOST_TO_KEEP)
    seen = forms.IntegerField(min_value=0, max_value=MOST_TO_KEEP)
