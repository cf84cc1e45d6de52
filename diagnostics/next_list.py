"""What to work through next on a vehicle, and why. Pure.

Common practice, no source: fluid, tyres, base brakes and battery before anything else; then
lamps and flags; then the circuit that the flags point at, or the system complained of.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["list", "lamps", "flags"]


@dataclass(frozen=True, slots=True)
class Listed:
    """A procedure of the vehicle's pages. `use`: "first", "finding" or "proving"."""

    pk: int
    title: str
    purpose: str
    use: str
    order: int
    for_flags: frozenset[str] = frozenset()
    system: str = ""


@dataclass(frozen=True, slots=True)
class Known:
    """What was done in the session's present phase; `codes` read before the repair; `systems`
    that the complaints are about."""

    after_repair: bool = False
    lamps_looked_at: bool = False
    flags_read: bool = False
    codes: tuple[str, ...] = ()
    systems: tuple[str, ...] = ()
    finished: frozenset[int] = frozenset()
    begun: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Proposal:
    """One thing to do, and why now. `pk` of the procedure for a list."""

    kind: Kind
    title: str
    why: str
    pk: int | None = None
    begun: bool = False


LAMPS = "Look at the lamps"
FLAGS = "Read the flags"


def proposals(lists: Iterable[Listed], known: Known) -> tuple[Proposal, ...]:
    """What is worth doing now, in order. Empty when everything proposed has been done."""
    left = sorted((one for one in lists if one.pk not in known.finished), key=lambda o: o.order)
    found: list[Proposal] = []
    if known.after_repair:
        found += [_list(one, one.purpose, known) for one in left if one.use == "proving"]
    else:
        found += [_list(one, one.purpose, known) for one in left if one.use == "first"]
    if not known.lamps_looked_at:
        found.append(Proposal("lamps", LAMPS, _why_lamps(known)))
    if not known.flags_read:
        found.append(Proposal("flags", FLAGS, _why_flags(known)))
    if not known.after_repair:
        finding = [one for one in left if one.use == "finding"]
        found += _by_flags(finding, known)
        found += _by_complaint(finding, known)
    return tuple(found)


def others(lists: Iterable[Listed], known: Known) -> tuple[Proposal, ...]:
    """Every list not among the proposals, finished ones too: they may be worked through again."""
    listed = sorted(lists, key=lambda one: one.order)
    proposed = {one.pk for one in proposals(listed, known)}
    return tuple(_list(one, one.purpose, known) for one in listed if one.pk not in proposed)


def _by_flags(lists: list[Listed], known: Known) -> list[Proposal]:
    pointed = ((one, _pointing(one, known.codes)) for one in lists)
    return [_list(one, f"{_joined(codes)} here.", known) for one, codes in pointed if codes]


def _by_complaint(lists: list[Listed], known: Known) -> list[Proposal]:
    """Lists of the system complained of that no flag points at already."""
    return [
        _list(one, f"The complaint is about {one.system.lower()}.", known)
        for one in lists
        if one.system in known.systems and not _pointing(one, known.codes)
    ]


def _list(one: Listed, why: str, known: Known) -> Proposal:
    return Proposal("list", one.title, why, pk=one.pk, begun=one.pk in known.begun)


def _pointing(one: Listed, codes: tuple[str, ...]) -> list[str]:
    return [code for code in codes if code.partition("-")[0] in one.for_flags]


def _joined(codes: list[str]) -> str:
    return f"{' and '.join(codes)} {'points' if len(codes) == 1 else 'point'}"


def _why_lamps(known: Known) -> str:
    if known.after_repair:
        return "They must be normal before the vehicle goes."
    return "They say whether it may be driven, and what kind of fault to look for."


def _why_flags(known: Known) -> str:
    if known.after_repair:
        return "None may be present after the road test."
    return "Read and write them down before anything is unplugged or cleared."
