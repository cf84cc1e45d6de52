"""The vehicle identification number: its letters, its check digit, its model year. Pure.

Source: 49 CFR 565.15 (letters, Table III values, Table IV weights, Table VII model years) and
ISO 3779. The check digit is compulsory in North America only, so a wrong one is a warning that
a person may overrule with a reason, never a refusal.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

LENGTH = 17
CHECK_POSITION = 9
YEAR_POSITION = 10
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_FIRST_YEAR = 1980
_CYCLE = len(YEAR_CODES)

_LETTER_VALUES = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", "12345678123457923456789", strict=True))
VALUES: Mapping[str, int] = MappingProxyType(
    {**{str(n): n for n in range(10)}, **{k: int(v) for k, v in _LETTER_VALUES.items()}}
)
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
PROBABLY: Mapping[str, str] = MappingProxyType({"I": "1", "O": "0", "Q": "0"})

# Spaces, hyphens and the stars that frame a VIN on some plates and bar codes.
_PACKING = re.compile(r"[\s\u00ad\u2010-\u2015\u2212*\-]+")


class VinError(ValueError):
    """A text for which no check digit can be worked out; `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class VinProblem:
    """One thing that makes a text no VIN. `position` counts from 1; `probably` is the likely
    right character, "" when there is none."""

    kind: Literal["length", "letter", "character", "check digit"]
    sentence: str
    position: int | None = None
    probably: str = ""


@dataclass(frozen=True, slots=True)
class ModelYear:
    """The model year in position 10, or why it cannot be told. `candidates` are oldest first."""

    year: int | None
    candidates: tuple[int, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class VinCheck:
    """What was found about a typed VIN.

    `missing` counts characters still to type. `problems` forbid saving. `warning` is a sentence
    about a wrong check digit, "" otherwise. `suggestion` is a VIN with a right check digit that
    was probably meant, "" otherwise.
    """

    vin: str
    missing: int
    problems: tuple[VinProblem, ...]
    check_digit_expected: str | None
    check_digit_found: str | None
    warning: str
    model_year: ModelYear
    suggestion: str

    @property
    def complete(self) -> bool:
        """Whether there are exactly seventeen characters."""
        return len(self.vin) == LENGTH

    @property
    def ok(self) -> bool:
        """Whether this can be saved, if need be with a reason (see `needs_reason`)."""
        return self.complete and not self.problems

    @property
    def check_digit_ok(self) -> bool | None:
        """Whether position 9 is the check digit; None while it cannot be worked out."""
        if self.check_digit_expected is None:
            return None
        return self.check_digit_expected == self.check_digit_found

    @property
    def needs_reason(self) -> bool:
        """Whether saving needs a person's reason for overruling the check digit."""
        return self.ok and self.check_digit_ok is False

    @property
    def sentence(self) -> str:
        """The first thing to say beside the field; "" when there is nothing to say."""
        if self.problems:
            return self.problems[0].sentence
        if self.missing:
            return _to_go(self.missing)
        return self.warning


def normal_vin(text: str) -> str:
    """Capitals without spaces, hyphens or framing stars."""
    # Only ASCII is raised: a sharp s would otherwise grow into two letters.
    return "".join(c.upper() if c.isascii() else c for c in _PACKING.sub("", text))


def check_digit(vin: str) -> str:
    """The check digit that the other sixteen characters of `vin` give: 0-9 or X.

    Whatever stands in position 9 carries no weight. Raises VinError when there are not
    seventeen characters or one of the sixteen has no value.
    """
    normal = normal_vin(vin)
    if len(normal) != LENGTH:
        raise VinError(f"A check digit needs {LENGTH} characters; there are {len(normal)}.")
    summed = 0
    for position, (character, weight) in enumerate(zip(normal, WEIGHTS, strict=True), start=1):
        if position == CHECK_POSITION:
            continue
        if character not in VALUES:
            raise VinError(f"{character} in position {position} has no value in a VIN.")
        summed += VALUES[character] * weight
    remainder = summed % 11
    return "X" if remainder == 10 else str(remainder)


def with_check_digit(vin: str) -> str:
    """`vin` with its right check digit put into position 9. Raises as `check_digit`."""
    normal = normal_vin(vin)
    return f"{normal[: CHECK_POSITION - 1]}{check_digit(normal)}{normal[CHECK_POSITION:]}"


def check_vin(
    text: str,
    *,
    light_vehicle: bool | None = True,
    check_digit_required: bool = False,
    still_typing: bool = False,
    this_year: int | None = None,
) -> VinCheck:
    """Everything that can be said about a typed VIN.

    text: as typed; capitals, spaces and hyphens do not matter.
    light_vehicle: passenger car, or multipurpose vehicle or truck up to 4536 kg gross; then
        position 7 tells the thirty-year cycle of the model year. None when it is not known.
    check_digit_required: make a wrong check digit a problem instead of a warning.
    still_typing: too few characters are no problem yet, only `missing`.
    this_year: model years later than the next one are ruled out; None rules none out.
    """
    vin = normal_vin(text)
    problems = [*_length_problems(vin, still_typing=still_typing), *_character_problems(vin)]
    expected = found = None
    warning = ""
    if len(vin) == LENGTH and not any(p.position != CHECK_POSITION for p in problems):
        expected, found = check_digit(vin), vin[CHECK_POSITION - 1]
        if expected != found and not problems:
            warning = _check_digit_warning(expected, found)
            if check_digit_required:
                problems.append(VinProblem("check digit", warning, CHECK_POSITION, expected))
    return VinCheck(
        vin=vin,
        missing=max(0, LENGTH - len(vin)),
        problems=tuple(problems),
        check_digit_expected=expected,
        check_digit_found=found,
        warning=warning,
        model_year=_model_year(vin, light_vehicle, this_year, doubtful=bool(warning)),
        suggestion=_suggestion(vin),
    )


def _to_go(missing: int) -> str:
    return "One character to go." if missing == 1 else f"{missing} characters to go."


def _length_problems(vin: str, *, still_typing: bool) -> list[VinProblem]:
    if len(vin) > LENGTH:
        over = len(vin) - LENGTH
        sentence = f"A VIN has {LENGTH} characters; this has {len(vin)}. Take out {over}."
        if over == 1 and vin.startswith("I"):
            sentence += (
                " The I that begins a scanned label of an imported vehicle is not part of it."
            )
        return [VinProblem("length", sentence)]
    if still_typing or len(vin) == LENGTH:
        return []
    if not vin:
        return [VinProblem("length", f"Type the VIN: {LENGTH} characters.")]
    return [
        VinProblem(
            "length",
            f"A VIN has {LENGTH} characters; this has {len(vin)}. {_to_go(LENGTH - len(vin))}",
        )
    ]


def _character_problems(vin: str) -> list[VinProblem]:
    problems = []
    for position, character in enumerate(vin, start=1):
        if character in PROBABLY:
            right = _probably(vin, position)
            sentence = (
                f"Position {position} is the letter {character}, which a VIN never has. "
                f"It is probably {right}."
            )
            problems.append(VinProblem("letter", sentence, position, right))
        elif character not in VALUES:
            sentence = (
                f"Position {position} is “{character}”. A VIN has only the digits and the "
                "letters A to Z without I, O and Q."
            )
            problems.append(VinProblem("character", sentence, position))
    return problems


def _probably(vin: str, position: int) -> str:
    """What stands for a forbidden letter: its look-alike, or in position 9 the check digit."""
    if position == CHECK_POSITION and len(vin) == LENGTH:
        others = "".join(PROBABLY.get(character, character) for character in vin)
        if all(character in VALUES for character in others):
            return check_digit(others)
    return PROBABLY[vin[position - 1]]


def _check_digit_warning(expected: str, found: str) -> str:
    return (
        f"The check digit in position {CHECK_POSITION} is {found}, but the other sixteen "
        f"characters give {expected}. Compare each with the plate on the vehicle. A vehicle made "
        "for a market outside North America need not have a check digit: if the plate does say "
        "this, keep it and say why."
    )


def _suggestion(vin: str) -> str:
    """The VIN probably meant when forbidden letters were typed, if its check digit agrees."""
    meant = vin
    if len(meant) == LENGTH + 1 and meant.startswith("I"):
        meant = meant[1:]
    meant = "".join(
        _probably(meant, position) if character in PROBABLY else character
        for position, character in enumerate(meant, start=1)
    )
    if meant == vin or len(meant) != LENGTH or any(c not in VALUES for c in meant):
        return ""
    return meant if check_digit(meant) == meant[CHECK_POSITION - 1] else ""


def _model_year(
    vin: str, light_vehicle: bool | None, this_year: int | None, *, doubtful: bool
) -> ModelYear:
    if len(vin) < YEAR_POSITION:
        return ModelYear(None, (), "The model year shows once position 10 is typed.")
    if len(vin) > LENGTH:
        return ModelYear(None, (), f"The model year shows once there are {LENGTH} characters.")
    code = vin[YEAR_POSITION - 1]
    if code not in YEAR_CODES:
        return ModelYear(
            None, (), f"{code} in position 10 is not the code of a model year. Type the year."
        )
    early = _FIRST_YEAR + YEAR_CODES.index(code)
    both = (early, early + _CYCLE)
    if not light_vehicle:
        return _year_without_position_7(code, both, light_vehicle, this_year)
    seventh = vin[6]
    if seventh not in VALUES:
        return ModelYear(
            None, both, f"Position 10 is {code}, but {seventh} in position 7 cannot be in a VIN."
        )
    year = both[0] if seventh.isdigit() else both[1]
    seen = f"Position 10 is {code} and position 7 is the {_digit_or_letter(seventh)} {seventh}"
    if _too_late(year, this_year):
        return ModelYear(
            None,
            both,
            f"{seen}: that would be model year {year}, which has not come. Type the year.",
        )
    caution = " The check digit is wrong, so this VIN may not follow that rule." if doubtful else ""
    return ModelYear(year, both, f"{seen}: model year {year} by the North American rule.{caution}")


def _year_without_position_7(
    code: str, both: tuple[int, int], light_vehicle: bool | None, this_year: int | None
) -> ModelYear:
    if _too_late(both[1], this_year):
        return ModelYear(
            both[0], both, f"Position 10 is {code}: {both[0]}, since {both[1]} has not come."
        )
    why = (
        "and only for cars and light trucks does position 7 tell which"
        if light_vehicle is False
        else "and position 7 tells which only if it is a car or a light truck"
    )
    return ModelYear(
        None, both, f"Position 10 is {code}: {both[0]} or {both[1]}, {why}. Choose the year."
    )


def _too_late(year: int, this_year: int | None) -> bool:
    return this_year is not None and year > this_year + 1


def _digit_or_letter(character: str) -> str:
    return "digit" if character.isdigit() else "letter"
