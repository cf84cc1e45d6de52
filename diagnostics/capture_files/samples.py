"""What a capture is in memory, and how it is refused. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

MAX_BYTES = 32 * 1024 * 1024
MAX_SAMPLES = 2_000_000
MAX_CHANNELS = 8


class CaptureError(ValueError):
    """A file that is no capture; `sentence` says what is wrong, at which line and column."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """A capture in memory.

    seconds: (n,) strictly increasing, beginning at whatever the file began with.
    channels: (k, n), in volts (or amperes, as `units` says), finite.
    names, units: k each; units are "V", "A" or "" when the file does not say.
    read_as: sentences that say how the file was read and what was inferred.
    """

    seconds: Numbers
    channels: Numbers
    names: tuple[str, ...]
    units: tuple[str, ...]
    read_as: tuple[str, ...] = ()
