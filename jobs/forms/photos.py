"""A photo from the tablet, and taking one away."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.own_ids import OwnIds
from jobs.models import Photo
from jobs.services.photo_bytes import MOST_MEGABYTES
from shop.web.forms import ActForm

_FROM_THE_CAMERA = {"accept": "image/jpeg,image/png,image/webp", "capture": "environment"}


class PhotoForm(OwnIds, ActForm):
    photo = forms.FileField(
        label=_("Photo"),
        widget=forms.FileInput(_FROM_THE_CAMERA),
        allow_empty_file=True,
        error_messages={"required": _("Take a photo or choose one first.")},
    )
    shows = forms.ChoiceField(
        label=_("What it shows"),
        choices=[("", _("Choose")), *Photo.Shows.choices],
        error_messages={"required": _("Choose what the photo shows.")},
    )
    words = forms.CharField(label=_("In words"), max_length=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photo"].help_text = _(
            "JPEG, PNG or WebP, up to %(most)s MB. Where and with which device it was taken is "
            "left out. Needs the network; a photo is not kept waiting on the tablet."
        ) % {"most": MOST_MEGABYTES}


class RemovePhotoForm(OwnIds, ActForm):
    because = forms.CharField(
        label=_("Why it goes"),
        max_length=200,
        error_messages={"required": _("Say why it goes; that stays in the story of the job.")},
    )
