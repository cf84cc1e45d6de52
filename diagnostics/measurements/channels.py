"""Which channel of a capture is meant, and what it is in. Pure."""

from __future__ import annotations

from diagnostics.captures import Samples
from diagnostics.measurements.fields import Number
from diagnostics.measurements.given import Given, InputError
from shop.units import Kind, format_value

CHANNEL = Number(
    "channel",
    "Channel",
    Kind.COUNT,
    "count",
    required=False,
    lowest=1,
    highest=8,
    whole=True,
    help="Of the file, counted from 1; the first when left empty.",
)


def channel_given(given: Given, capture: Samples, name: str = "channel", otherwise: int = 1) -> int:
    """The place of the channel in the capture, from 0. Raises InputError beside `name`."""
    number = int(given.number_or_none(name) or otherwise)
    count = capture.channels.shape[0]
    if number > count:
        have = "one channel" if count == 1 else f"{count} channels"
        raise InputError(f"The file has {have}; there is no channel {number}.", name)
    return number - 1


def unit_of(capture: Samples, channel: int) -> str:
    """V or A: volts where the file does not say."""
    return "A" if capture.units[channel] == "A" else "V"


def level_text(value: float, unit: str, *, digits: int = 3) -> str:
    """Volts or amperes of a sample. Less than a billionth is what arithmetic left, and nought."""
    return format_value(round(value, 9), unit, digits=digits)
