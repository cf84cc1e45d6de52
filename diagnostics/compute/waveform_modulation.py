"""What swells and fades once in a turn: run-out of the ring, play of the bearing. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.compute.waveform_arrays import Numbers, Places
from diagnostics.compute.waveform_teeth import Flags

LEAST_TURNS = 4
_ERRORS, _ABOVE_OTHERS = 4.0, 2.0
_FLOOR = 1e-3


@dataclass(frozen=True, slots=True)
class OncePerTurn:
    """A wave with one top a turn.

    size: ratio, half of highest minus lowest over the mean ((highest - lowest) / (highest +
    lowest)). error: what chance alone would make of it, same measure. found: whether it stands
    clear of that. steadiness: 1 when every turn has the same wave, near 0 when its place wanders.
    degrees: where its top lies, after the first tooth. reason: a sentence.
    """

    size: float
    error: float
    found: bool
    steadiness: float
    degrees: float
    reason: str


def once_per_turn(values: Numbers, place: Places, valid: Flags, teeth: int) -> OncePerTurn | str:
    """The wave in a row of values, one a tooth, or the sentence why it cannot be told.

    values: positive, such as heights or periods. valid: teeth that count. A running mean over
    exactly one turn holds no such wave: taking it away leaves the wave and removes the change of
    speed. The wave is then the Fourier component at one a turn, under a Hann window. Chance is
    reckoned from the scatter of what remains, and from the components at one and a half and two
    and a half a turn, where a ring has none but an uneven hand has. Own method.
    """
    if values.size < LEAST_TURNS * teeth:
        return (
            f"Fewer than {LEAST_TURNS} whole turns are too few for what changes once a turn: "
            "capture more."
        )
    usable = valid & (values > 0)
    if np.count_nonzero(usable) < values.size / 2:
        return "Too few teeth gave a signal to tell what changes once a turn."
    logs = _filled(values, usable)
    rest, counts, angle = _without_trend(logs, usable, place, teeth)
    wave = _component(rest, counts, angle)
    white, others = _chance(rest, counts, angle, wave)
    error = max(white, others / _ABOVE_OTHERS)
    size = float(np.abs(wave))
    found = size > _ERRORS * white and size > _ABOVE_OTHERS * others
    return OncePerTurn(
        size=size,
        error=error,
        found=found,
        steadiness=_steadiness(rest, counts, angle, teeth) if found else 0.0,
        degrees=float(np.degrees(np.angle(wave)) % 360),
        reason=(
            "The wave stands clear of the scatter."
            if found
            else "What there is of a wave does not stand clear of the scatter."
        ),
    )


def _filled(values: Numbers, usable: Flags) -> Numbers:
    """Logarithms, with straight lines over the teeth that do not count."""
    number = np.arange(values.size, dtype=np.float64)
    floor = _FLOOR * float(np.median(values[usable]))
    logs = np.log(np.maximum(values, floor))
    return np.interp(number, number[usable], logs[usable])


def _without_trend(
    logs: Numbers, usable: Flags, place: Places, teeth: int
) -> tuple[Numbers, Flags, Numbers]:
    """What is left of the logarithms without their mean over a turn, where that is known."""
    half = teeth // 2
    total = np.concatenate([[0.0], np.cumsum(logs - logs[0])])
    inner = (total[2 * half + 1 :] - total[: -2 * half - 1]) / teeth
    if teeth % 2 == 0:
        ends = (logs[2 * half :] + logs[: logs.size - 2 * half]) / 2 - logs[0]
        inner = inner - ends / teeth
    keep = slice(half, logs.size - half)
    rest = logs[keep] - logs[0] - inner
    return rest, usable[keep], 2 * np.pi * place[keep] / teeth


def _component(rest: Numbers, counts: Flags, angle: Numbers, times: float = 1.0) -> complex:
    """The complex size of the wave with `times` tops a turn; its angle says where the top is."""
    weight = np.hanning(rest.size + 2)[1:-1] * counts
    whole = float(weight.sum())
    if whole <= 0:
        return 0j
    level = rest - float(weight @ rest) / whole
    turned = angle if times == 1.0 else np.unwrap(angle) * times
    return complex(2 * np.sum(weight * level * np.exp(-1j * turned)) / whole).conjugate()


def _chance(rest: Numbers, counts: Flags, angle: Numbers, wave: complex) -> tuple[float, float]:
    weight = np.hanning(rest.size + 2)[1:-1] * counts
    left = (rest - (wave.conjugate() * np.exp(1j * angle)).real)[counts]
    scatter = 1.4826 * float(np.median(np.abs(left - np.median(left)))) if left.size else 0.0
    white = scatter * float(np.sqrt(2 * np.sum(weight**2)) / max(float(weight.sum()), 1e-300))
    others = max(abs(_component(rest, counts, angle, times)) for times in (1.5, 2.5))
    return white, others


def _steadiness(rest: Numbers, counts: Flags, angle: Numbers, teeth: int) -> float:
    """The mean of the turns' waves over the mean of their sizes."""
    turns = rest.size // teeth
    if turns < 2:
        return 1.0
    spun = (rest * counts * np.exp(-1j * angle))[: turns * teeth].reshape(turns, teeth).sum(axis=1)
    sizes = float(np.abs(spun).mean())
    return float(np.abs(spun.mean())) / sizes if sizes > 0 else 0.0
