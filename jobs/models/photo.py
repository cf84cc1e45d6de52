"""Photos that show what words cannot: taken on the tablet, kept with the complaint."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint
from shop.models import Owned


class Photo(Owned):
    """What is shown, by whom and when. Removing one leaves the row with its reason."""

    class Shows(models.TextChoices):
        FAULT = "fault", _("the fault as found")
        READING = "reading", _("the instrument with its reading")
        OLD_UNIT = "old_unit", _("the unit taken off")
        NEW_UNIT = "new_unit", _("the unit fitted")
        PLATE = "plate", _("a number plate or label of a unit")
        ODOMETER = "odometer", _("the odometer")
        OTHER = "other", _("something else")

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="photos")
    shows = models.CharField(_("what it shows"), max_length=10, choices=Shows)
    words = models.CharField(_("in words"), max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    size = models.PositiveIntegerField()  # bytes, as kept
    sha256 = models.CharField(max_length=64)
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["complaint", "pk"]

    def __str__(self) -> str:
        return f"{self.get_shows_display()} {self.words}".strip()


class PhotoContents(models.Model):
    """The pictures, apart so that a list does not load them; JPEG, without where and with what."""

    photo = models.OneToOneField(
        Photo, on_delete=models.CASCADE, primary_key=True, related_name="contents"
    )
    jpeg = models.BinaryField()
    small = models.BinaryField()

    def __str__(self) -> str:
        return str(self.photo)
