"""The form of any kind of measurement, drawn from what the kind says it asks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from diagnostics import words
from diagnostics.captures import MAX_BYTES
from diagnostics.forms.drawn import Drawn
from diagnostics.measurements.given import Given
from diagnostics.measurements.kind import MeasurementKind
from diagnostics.measurements.known import Known
from diagnostics.measurements.reading_in import SURE, InputErrors, names_of, read_typed
from diagnostics.models import Capture, Measurement, Position, Session
from diagnostics.places import places_for, resolve
from diagnostics.queries.known import known_for
from diagnostics.queries.measurements import captures_of
from diagnostics.services.captures import FileSent, content_of
from diagnostics.services.measurements import AtStep
from shop.web.forms import ActForm

_LONGEST = 60
TIME_UNITS = (
    ("", _("as the file shows")),
    ("s", _("seconds")),
    ("ms", _("milliseconds")),
    ("us", _("microseconds")),
)
DECIMALS = (("", _("as the file shows")), (".", _("point")), (",", _("comma")))
SEPARATORS = (
    ("", _("as the file shows")),
    (",", _("comma")),
    (";", _("semicolon")),
    ("tab", _("tab")),
    ("space", _("space")),
)
# What is kept of the form beside the kind's own fields.
_HOW = ("time_unit", "decimal", "separator", "sample_rate")
_BESIDE = ("position", *_HOW)


RESERVED = frozenset(
    {"act", "asked", "because", "capture", "doubted", "file", "kind", "note", "position", SURE}
    | {"takes_file", "most_bytes", "most_megabytes", "run", "step", "revision", *_HOW}
)


class WorkingForm(ActForm):
    """One kind's fields, as texts; `clean` reads them all and tells every mistake at once."""

    def __init__(
        self,
        *args: Any,
        kind: MeasurementKind,
        known: Known | None = None,
        position: str | None = None,
        captures: Sequence[Capture] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.known = known or Known()
        self.fixed_position = position
        self.given: Given | None = None
        self.doubted = False
        for field in kind.fields:
            for name in (field.name, *names_of(field)):
                # In a template a field goes before an attribute of the form.
                if name in RESERVED:
                    raise ValueError(f"No field of {kind.key} may be called {name}.")
                self.fields[name] = forms.CharField(required=False, max_length=_LONGEST)
        self._beside(captures)

    def _beside(self, captures: Sequence[Capture]) -> None:
        places = places_for(self.kind.place)
        if self.fixed_position is None and len(places) > 1:
            choices = [
                (place, words.place(place).capitalize() or _("No place")) for place in places
            ]
            self.fields["position"] = forms.ChoiceField(
                choices=choices,
                required="" not in places,
                label=_("Where"),
                widget=forms.RadioSelect,
                error_messages={"required": _("Choose where it is measured.")},
            )
        self.fields["note"] = forms.CharField(
            required=False, max_length=200, label=_("Noted with it")
        )
        self.fields[SURE] = forms.BooleanField(required=False)
        if self.kind.capture == "none":
            return
        self.fields["file"] = forms.FileField(required=False, allow_empty_file=True)
        self.fields["capture"] = forms.ModelChoiceField(
            Capture.objects.filter(pk__in=[one.pk for one in captures]),
            required=False,
            empty_label=_("None of them"),
            label=_("Or a file sent before"),
        )
        self.fields["sample_rate"] = forms.CharField(required=False, max_length=12)
        self.fields["time_unit"] = _choice(TIME_UNITS, _("Time is in"))
        self.fields["decimal"] = _choice(DECIMALS, _("Decimal mark"))
        self.fields["separator"] = _choice(SEPARATORS, _("Between columns"))

    @property
    def takes_file(self) -> bool:
        return self.kind.capture != "none"

    @property
    def most_bytes(self) -> int:
        return MAX_BYTES

    @property
    def most_megabytes(self) -> int:
        return MAX_BYTES // 2**20

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        sure = bool(data.get(SURE))
        try:
            self.given = read_typed(self.kind.fields, self.typed() | ({SURE: "1"} if sure else {}))
        except InputErrors as wrong:
            self.doubted = wrong.doubts or sure
            for name, sentence in wrong.errors.items():
                self.add_error(name, sentence)
        else:
            doubt = None if sure else self.kind.doubt(self.given, self.known)
            self.doubted = doubt is not None
            if doubt is not None:
                self.add_error(doubt.field or None, doubt.sentence)
        return data

    def typed(self) -> dict[str, str]:
        """The texts as they stood, to be kept and shown again."""
        names = [name for field in self.kind.fields for name in names_of(field)]
        beside = [name for name in _BESIDE if name in self.fields]
        return {name: text for name in (*names, *beside) if (text := self.data.get(name, ""))}

    @property
    def position(self) -> str:
        if self.fixed_position is not None:
            return self.fixed_position
        return str(self.cleaned_data.get("position", ""))

    def sent(self) -> tuple[FileSent, Capture | None] | None:
        """The file to be read: the one sent now, else the one chosen among those sent before."""
        data = self.cleaned_data
        how = {name: data.get(name, "") for name in _HOW}
        new: UploadedFile[bytes] | None = data.get("file")
        if new is not None:
            return FileSent(name=new.name or "", content=new.read(), **how), None
        earlier: Capture | None = data.get("capture")
        if earlier is None:
            return None
        return FileSent(name=earlier.name, content=content_of(earlier), **how), earlier

    # ---- drawing ----

    def text_of(self, name: str) -> str:
        if self.is_bound:
            return str(self.data.get(name, ""))
        return str(self.initial.get(name, ""))

    def wrong_at(self, name: str) -> Sequence[str]:
        return [str(said) for said in self.errors.get(name, ())] if self.is_bound else ()

    @property
    def asked(self) -> Iterator[Drawn]:
        for field in self.kind.fields:
            yield Drawn(self, field)


def _choice(options: Sequence[tuple[Any, Any]], label: Any) -> forms.ChoiceField:
    return forms.ChoiceField(choices=options, required=False, label=label)


class ReplacingForm(WorkingForm):
    """The same fields again, and why."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["because"] = forms.CharField(
            max_length=200, label=_("What was wrong with the first")
        )


def working(
    session: Session,
    kind: MeasurementKind,
    *,
    at_step: AtStep | None = None,
    initial: Mapping[str, str] | None = None,
    data: Any = None,
    files: Any = None,
) -> WorkingForm:
    """The form of a kind, filled with what is known of the vehicle at the place in question."""
    position, component = None, None
    if at_step is not None:
        position = resolve(at_step.step.position, at_step.run.corner) or ""
        component = at_step.step.component
    asked = position if position is not None else _asked_position(data, initial)
    return WorkingForm(
        data,
        files,
        kind=kind,
        position=position,
        known=known_for(session, kind, component, asked),
        captures=captures_of(session) if kind.capture != "none" else (),
        initial=initial or {},
    )


def replacing(
    row: Measurement,
    kind: MeasurementKind,
    *,
    initial: Mapping[str, str] | None = None,
    data: Any = None,
    files: Any = None,
) -> ReplacingForm:
    """The form of a measurement that is put right, as it was typed; its file is chosen already."""
    initial = dict(initial or {})
    if row.capture_id:
        initial["capture"] = str(row.capture_id)
    if row.note:
        initial["note"] = row.note
    return ReplacingForm(
        data,
        files,
        kind=kind,
        position=row.position,
        known=known_for(row.session, kind, row.component, row.position),
        captures=captures_of(row.session, row.capture) if kind.capture != "none" else (),
        initial=initial,
    )


def _asked_position(data: Any, initial: Mapping[str, str] | None) -> str:
    place = str((data or initial or {}).get("position", ""))
    return place if place in Position.values else ""
