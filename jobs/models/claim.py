"""What is asked of a payer for one complaint, in which words it was sent, and what came back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.complaint import Complaint, Payer
from shop.models import Owned

_ZERO = Decimal(0)


def _money(**more: Any) -> models.DecimalField[Any, Any]:
    return models.DecimalField(max_digits=10, decimal_places=2, **more)


class ClaimPayer(Owned):
    """Who is asked: one address, with what it wants to see and until when.

    `make` and `supplier` narrow whose vehicle or unit it answers for; blank answers for any. A
    contract is asked of the payer that bears its provider's name.
    """

    class Days(models.TextChoices):
        CALENDAR = "calendar", _("calendar days")
        WORKING = "working", _("working days")

    name = models.CharField(_("name"), max_length=80)
    kind = models.CharField(
        _("pays as"),
        max_length=20,
        choices=[
            choice for choice in Payer.choices if choice[0] not in (Payer.CUSTOMER, Payer.WORKSHOP)
        ],
    )
    make = models.CharField(_("for vehicles made by"), max_length=40, blank=True)
    supplier = models.CharField(_("for units supplied by"), max_length=80, blank=True)
    account = models.CharField(_("our number there"), max_length=40, blank=True)
    address = models.TextField(_("where claims go"), blank=True)
    days_are = models.CharField(
        _("days are counted as"), max_length=8, choices=Days, default=Days.CALENDAR
    )
    file_days = models.PositiveSmallIntegerField(
        _("a claim goes in within, days after the vehicle left"), null=True, blank=True
    )
    again_days = models.PositiveSmallIntegerField(
        _("a refused one goes in again within, days after the answer"), null=True, blank=True
    )
    hold_days = models.PositiveSmallIntegerField(
        _("parts are kept after sending, days"), null=True, blank=True
    )
    handling_percent = models.DecimalField(
        _("handling paid on parts, percent of their price"),
        max_digits=5,
        decimal_places=2,
        default=_ZERO,
        validators=[MinValueValidator(_ZERO), MaxValueValidator(Decimal(100))],
    )
    pays_tax = models.BooleanField(_("pays tax"), default=True)
    wants_photos = models.BooleanField(_("wants photos"), default=False)
    wants_clock = models.BooleanField(_("wants the clocked time"), default=False)
    wants_serials = models.BooleanField(_("wants the numbers of the units"), default=True)
    wants_part = models.BooleanField(_("may ask for the part"), default=True)
    retired = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["workshop", "name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "name"], name="claim_payer_once"),
            models.CheckConstraint(
                condition=models.Q(handling_percent__gte=0, handling_percent__lte=100),
                name="handling_up_to_all",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Claim(Owned):
    """One per complaint and payer. The sums are those of its lines, kept by the services."""

    class State(models.TextChoices):
        DRAFT = "draft", _("being prepared")
        APPROVED = "approved", _("approved, to be sent")
        SENT = "sent", _("sent, no answer yet")
        ASKED = "asked", _("more is wanted")
        ACCEPTED = "accepted", _("accepted, money to come")
        SHORT = "short", _("accepted for less")
        REFUSED = "refused", _("refused")
        PAID = "paid", _("paid")
        WRITTEN_OFF = "written_off", _("written off")
        VOID = "void", _("void")

    serial = models.PositiveIntegerField()
    number = models.CharField(max_length=16)
    complaint = models.ForeignKey(Complaint, on_delete=models.PROTECT, related_name="claims")
    payer = models.ForeignKey(ClaimPayer, on_delete=models.PROTECT, related_name="claims")
    coverage = models.ForeignKey(
        "jobs.CoverageDecision",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="claims",
    )
    state = models.CharField(max_length=12, choices=State, default=State.DRAFT)
    state_since = models.DateTimeField()
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    approved_at = models.DateTimeField(null=True, blank=True)
    approved_by = models.ForeignKey(
        "shop.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    first_sent_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)  # paid, written off or void
    due_on = models.DateField(null=True, blank=True)  # the last day to send, or to send again
    concern = models.TextField(_("concern"))
    cause = models.TextField(_("cause"), blank=True)
    correction = models.TextField(_("correction"), blank=True)
    claimed = _money(default=_ZERO)
    agreed = _money(null=True, blank=True)  # by the last answer; null until there is one
    paid = _money(default=_ZERO)
    written_off = _money(default=_ZERO)
    closed_because = models.CharField(max_length=200, blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["-serial"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "serial"], name="claim_serial_once"),
            models.UniqueConstraint(fields=["workshop", "number"], name="claim_number_once"),
            models.UniqueConstraint(
                fields=["complaint", "payer"],
                condition=~models.Q(state="void"),
                name="one_claim_a_payer",
            ),
            models.CheckConstraint(
                condition=models.Q(claimed__gte=0, written_off__gte=0), name="claim_not_negative"
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["workshop", "state", "due_on"],
                name="claims_open",
                condition=models.Q(closed_at__isnull=True),
            ),
            models.Index(fields=["workshop", "payer", "-serial"], name="claims_of_payer"),
            models.Index(fields=["workshop", "-closed_at"], name="claims_closed"),
            models.Index(fields=["workshop", "first_sent_at"], name="claims_first_sent"),
        ]

    def __str__(self) -> str:
        return self.number


class ClaimLine(models.Model):
    """One thing asked for; `agreed` and `paid` stay null until the payer said or paid."""

    class Kind(models.TextChoices):
        LABOUR = "labour", _("labour")
        PART = "part", _("part")
        HANDLING = "handling", _("handling")
        SUBLET = "sublet", _("sublet work")
        TAX = "tax", _("tax")

    claim = models.ForeignKey(Claim, on_delete=models.CASCADE, related_name="lines")
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=Kind)
    row = models.CharField(max_length=40, blank=True)  # of the job; see jobs.queries.priced.row_key
    text = models.CharField(max_length=240)
    part_number = models.CharField(max_length=40, blank=True)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    unit_price = _money()
    amount = _money()  # asked for: the payer's share of the line
    agreed = _money(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["claim", "order"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["claim", "order"], name="claim_line_once"),
            models.CheckConstraint(condition=models.Q(amount__gte=0), name="line_asks_something"),
        ]

    def __str__(self) -> str:
        return self.text


class Submission(models.Model):
    """The claim as it went out: never changed. Sent again, it is another row."""

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="submissions")
    number = models.PositiveSmallIntegerField()
    sent_at = models.DateTimeField()
    sent_by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    by_way_of = models.CharField(_("sent by"), max_length=80)
    changed = models.TextField(_("what changed since the last time"), blank=True)
    lacking = models.TextField(blank=True)  # what was missing and sent all the same, a line each
    total = _money()

    class Meta:
        ordering: ClassVar = ["claim", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["claim", "number"], name="submission_once")
        ]

    def __str__(self) -> str:
        return f"{self.claim}/{self.number}"


class SubmissionPaper(models.Model):
    """What went out, byte for byte; apart, so that lists do not load it."""

    submission = models.OneToOneField(
        Submission, on_delete=models.PROTECT, primary_key=True, related_name="paper"
    )
    document = models.TextField()  # JSON, as docs/claims.md describes it
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)  # of the PDF

    def __str__(self) -> str:
        return str(self.submission)


class ClaimAnswer(models.Model):
    """What the payer said to one submission. Append-only."""

    class Kind(models.TextChoices):
        ACCEPTED = "accepted", _("accepted in full")
        SHORT = "short", _("accepted for less")
        REFUSED = "refused", _("refused")
        ASKED = "asked", _("wants to know more")
        PART = "part", _("wants the part")

    class Reason(models.TextChoices):
        NONE = "", _("no reason given")
        READING = "reading", _("a reading or its limit is missing")
        CAUSE = "cause", _("the cause does not explain the concern")
        LATE = "late", _("too late")
        PART = "part", _("the part was not kept or not sent")
        TERM = "term", _("not covered by its term")
        HOURS = "hours", _("more hours than allowed")
        PRICE = "price", _("price of a part")
        PAPERS = "papers", _("a paper or a photo is missing")
        OTHER = "other", _("another reason")

    submission = models.ForeignKey(Submission, on_delete=models.PROTECT, related_name="answers")
    at = models.DateTimeField()
    answered_on = models.DateField(_("answered on"))
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=10, choices=Kind)
    reason = models.CharField(_("reason"), max_length=10, choices=Reason, blank=True)
    words = models.TextField(_("in the payer’s words"), blank=True)
    reference = models.CharField(_("the payer’s reference"), max_length=60, blank=True)
    agreed = _money(null=True, blank=True)  # of the whole claim
    wanted_by = models.DateField(_("wanted by"), null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["submission", "pk"]

    def __str__(self) -> str:
        return f"{self.submission}: {self.get_kind_display()}"
