"""The fields in which a look at the lamps is noted; a part of any form that asks for one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.telltales import Lamp, Observation, Shown, Situation


@dataclass(frozen=True, slots=True)
class LampOption:
    """One way to show, as parts/lamp_option.html draws it."""

    shown: str
    word: str
    checked: bool


@dataclass(frozen=True, slots=True)
class LampCell:
    """One lamp in one situation: its field's name, and what is chosen."""

    situation: Situation
    name: str
    chosen: str

    def options(self) -> tuple[LampOption, ...]:
        unlooked = LampOption("unlooked", str(_("not looked")), not self.chosen)
        ways = (LampOption(way.value, way.label, way.value == self.chosen) for way in Shown)
        return (*ways, unlooked)


@dataclass(frozen=True, slots=True)
class LampRow:
    lamp: Lamp
    cells: tuple[LampCell, ...]


class LampFields(forms.Form):
    """A choice for each lamp in each situation; nothing chosen means not looked at."""

    ways = tuple(Shown)
    situations = tuple(Situation)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", _("not looked at")), *((way.value, way.label) for way in Shown)]
        for lamp, situation in self._looks():
            name = self.name_of(lamp, situation)
            self.fields[name] = forms.ChoiceField(choices=choices, required=False)

    @staticmethod
    def name_of(lamp: Lamp, situation: Situation) -> str:
        return f"{lamp.value}-{situation.value}"

    @staticmethod
    def _looks() -> Iterator[tuple[Lamp, Situation]]:
        return ((lamp, situation) for lamp in Lamp for situation in Situation)

    def rows(self) -> Iterator[LampRow]:
        for lamp in Lamp:
            cells = tuple(
                LampCell(situation, name, str(self[name].value() or ""))
                for situation in Situation
                for name in [self.name_of(lamp, situation)]
            )
            yield LampRow(lamp, cells)

    def observations(self) -> list[Observation]:
        seen = (
            (lamp, situation, self.cleaned_data[self.name_of(lamp, situation)])
            for lamp, situation in self._looks()
        )
        return [Observation(lamp, when, Shown(shown)) for lamp, when, shown in seen if shown]
