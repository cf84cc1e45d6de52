"""Several numbers or an instrument's file, and what was worked out from them. Append-only."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from diagnostics.models.catalogue import Component, Position
from diagnostics.models.sessions import Recorded


class Capture(Recorded):
    """An instrument's file as it was sent, with what was found in it."""

    name = models.CharField(max_length=120)
    note = models.CharField(max_length=200, blank=True)
    size = models.PositiveIntegerField()  # bytes, as sent
    sha256 = models.CharField(max_length=64)
    samples = models.PositiveIntegerField()
    channels = models.PositiveSmallIntegerField()
    seconds = models.FloatField()  # from the first sample to the last

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return self.name


class CaptureContents(models.Model):
    """The file itself, apart so that a list of captures does not load them."""

    capture = models.OneToOneField(
        Capture, on_delete=models.CASCADE, primary_key=True, related_name="contents"
    )
    packed = models.BinaryField()  # zlib

    def __str__(self) -> str:
        return str(self.capture)


class Measurement(Recorded):
    """What was typed for one kind of measurement, and its outcome as it was shown.

    `typed` and `outcome` are texts of `diagnostics.measurements.kept`, to be shown again; what is
    queried are the readings that came of it. `version` is that of the kind that made the outcome.
    """

    kind = models.SlugField(max_length=40)
    version = models.PositiveSmallIntegerField()
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    position = models.CharField(max_length=8, choices=Position, blank=True)
    typed = models.TextField()
    outcome = models.TextField()
    says = models.TextField()
    verdict = models.CharField(max_length=12)  # the worst among its readings
    note = models.CharField(max_length=200, blank=True)
    capture = models.ForeignKey(
        Capture, on_delete=models.PROTECT, null=True, blank=True, related_name="measurements"
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    replaced_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["session", "pk"]

    def __str__(self) -> str:
        return f"{self.kind} {self.position}".strip()
