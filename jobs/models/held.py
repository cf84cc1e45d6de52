"""A part taken off that is kept: for the payer, for its core credit, or for the customer."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.part import Replacement
from jobs.models.supply import Supplier
from shop.models import Owned


class HeldPart(Owned):
    class Why(models.TextChoices):
        CORE = "core", _("core, to send back for credit")
        PAYER = "payer", _("the payer may ask for it")
        CUSTOMER = "customer", _("the customer asked for it")
        SCRAP = "scrap", _("scrap, kept until the date")

    class State(models.TextChoices):
        HELD = "held", _("held")
        SENT = "sent", _("sent")
        GIVEN = "given", _("given to the customer")
        SCRAPPED = "scrapped", _("scrapped")

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    replacement = models.OneToOneField(
        Replacement, on_delete=models.PROTECT, related_name="held_part"
    )
    why = models.CharField(max_length=10, choices=Why)
    state = models.CharField(max_length=10, choices=State, default=State.HELD)
    place = models.CharField(_("place"), max_length=40, blank=True)
    held_at = models.DateTimeField()
    held_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    hold_until = models.DateField(_("hold until"))
    asked_for_on = models.DateField(_("to be sent by"), null=True, blank=True)
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    credit_expected = models.DecimalField(
        _("credit expected"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    credit_received = models.DecimalField(
        _("credit received"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    credited_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    closed_note = models.CharField(max_length=200, blank=True)  # to whom, by which parcel, why
    signature = models.TextField(blank=True)  # of whom it was given to; see jobs.signature
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["hold_until", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "serial"], name="tag_serial_once"),
            models.UniqueConstraint(fields=["workshop", "number"], name="tag_number_once"),
            models.CheckConstraint(
                condition=models.Q(state="held", closed_at__isnull=True)
                | (~models.Q(state="held") & models.Q(closed_at__isnull=False)),
                name="held_part_leaves_once",
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "hold_until"],
                name="held_now",
                condition=models.Q(closed_at__isnull=True),
            ),
            models.Index(
                fields=["workshop", "closed_at"],
                name="held_credit_awaited",
                condition=models.Q(why="core", credited_at__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return self.number
