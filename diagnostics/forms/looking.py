"""Forms for what the vehicle itself says: its lamps and its modules' memories."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.codes import pasted
from diagnostics.codes.two_byte import CodeError, parse_code
from diagnostics.codes.uds import UdsError
from diagnostics.lamp_fields import LampFields
from diagnostics.models import StoredFlag
from diagnostics.services.flags import FlagInput
from shop.web.forms import ActForm
from shop.web.numbers import whole_number

# As a tester offers them; the same words for reading and clearing, so that they can be matched.
EVERY = "every"
MODULES = [
    ("brake control", _("Brake control")),
    ("power steering", _("Power steering")),
    (EVERY, _("Every module")),
]
FIRST_ROWS = 3
MOST_ROWS = 30


class ModuleField(forms.ChoiceField):
    """Which module; every one of them is stored as a blank."""

    def __init__(self) -> None:
        super().__init__(
            label=_("Module"),
            choices=MODULES,
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose the module that the tester spoke to.")},
        )

    def clean(self, value: Any) -> str:
        chosen: str = super().clean(value)
        return "" if chosen == EVERY else chosen


class LampsForm(LampFields, ActForm):
    """One look at the lamps."""


@dataclass(frozen=True, slots=True)
class FlagRow:
    number: int
    code: forms.BoundField
    status: forms.BoundField
    asked: forms.BoundField


class FlagsForm(ActForm):
    """One reading-out: the module, and a row for each code, or that none was stored."""

    module = ModuleField()
    none_stored = forms.BooleanField(label=_("None stored"), required=False)
    symptom = forms.BooleanField(
        label=_("What follows the hyphen is the tester’s own symptom, not a failure type"),
        required=False,
    )
    flags = forms.Field(required=False)  # a refusal about the codes together

    def __init__(self, *args: Any, rows: int = FIRST_ROWS, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.least = rows
        for number in range(1, self._row_count() + 1):
            self.fields.update(_row_fields(number))

    @property
    def next_number(self) -> int | None:
        """Number of the row that may be added, None when the list is as long as it may be."""
        count = self._row_count()
        return count + 1 if count < MOST_ROWS else None

    def _row_count(self) -> int:
        names = (name for name in self.data if name.startswith("code-"))
        sent = (whole_number(name.removeprefix("code-")) or 0 for name in names)
        return min(max([self.least, *sent]), MOST_ROWS)

    def rows(self) -> Iterator[FlagRow]:
        for number in range(1, self._row_count() + 1):
            yield FlagRow(
                number, self[f"code-{number}"], self[f"status-{number}"], self[f"asked-{number}"]
            )

    def clean(self) -> dict[str, Any]:
        """Each unreadable or repeated code is told beside its own row."""
        seen = set()
        for number in range(1, self._row_count() + 1):
            typed = self.cleaned_data.get(f"code-{number}", "")
            if not typed:
                continue
            try:
                code = parse_code(typed)
            except CodeError as error:
                self.add_error(f"code-{number}", error.sentence)
                continue
            if code in seen:
                self.add_error(f"code-{number}", _("This code is in the list already."))
            seen.add(code)
        return self.cleaned_data

    def given(self) -> list[FlagInput]:
        data = self.cleaned_data
        numbers = range(1, self._row_count() + 1)
        return [
            FlagInput(data[f"code-{n}"], data[f"status-{n}"], data[f"asked-{n}"])
            for n in numbers
            if data[f"code-{n}"]
        ]


class BlankRow(forms.Form):
    """One more row, for a list longer than the page began with."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.fields.update(_row_fields(number))
        self.number = number

    def row(self) -> FlagRow:
        n = self.number
        return FlagRow(n, self[f"code-{n}"], self[f"status-{n}"], self[f"asked-{n}"])


def _row_fields(number: int) -> dict[str, forms.Field]:
    return {
        f"code-{number}": forms.CharField(label=_("Code"), max_length=16, required=False),
        f"status-{number}": forms.ChoiceField(
            label=_("Status"),
            choices=StoredFlag.Status.choices,
            initial=StoredFlag.Status.STORED,
            required=False,
        ),
        f"asked-{number}": forms.BooleanField(label=_("Lamp requested"), required=False),
    }


class ReturnedForm(ActForm):
    """What a module returned, as it was pasted. Valid only when it can be read with certainty."""

    module = ModuleField()
    returned = forms.CharField(
        label=_("What the tester returned"),
        max_length=pasted.LONGEST_TEXT,
        widget=forms.Textarea,
        error_messages={"required": _("Paste what the tester returned.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "returned-%s")
        super().__init__(*args, **kwargs)
        self.found: pasted.Pasted | None = None

    def clean_returned(self) -> str:
        typed: str = self.cleaned_data["returned"]
        try:
            self.found = pasted.read(typed)
        except UdsError as error:
            raise forms.ValidationError(error.sentence) from error
        return typed


class ClearForm(ActForm):
    module = ModuleField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        # It stands below the form of what was read, which has a module too.
        kwargs.setdefault("auto_id", "clear-%s")
        super().__init__(*args, **kwargs)
