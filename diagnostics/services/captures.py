"""Keeping an instrument's file, whole or not at all."""

from __future__ import annotations

import hashlib
import zlib
from dataclasses import dataclass

from diagnostics.captures import CaptureError, Samples, read_capture
from diagnostics.models import Capture, CaptureContents, Session
from shop import clock, units
from shop.actor import Actor
from shop.errors import Refusal


@dataclass(frozen=True, slots=True)
class FileSent:
    """A file as it came from the tablet, and what the person says of how it is written.

    Empty texts let the reader find out; what it found is told with the result.
    """

    name: str
    content: bytes
    time_unit: str = ""
    decimal: str = ""
    separator: str = ""
    sample_rate: str = ""


@dataclass(frozen=True, slots=True)
class FileRead:
    """A file that was read: its samples, and the row that keeps it (None until it is kept)."""

    sent: FileSent
    samples: Samples
    kept: Capture | None = None


def read(sent: FileSent, kept: Capture | None = None) -> FileRead:
    """The samples of a file. Raises Refusal [file] with the line and column of what is wrong."""
    rate = _rate(sent.sample_rate)
    try:
        samples = read_capture(
            sent.content,
            name=sent.name,
            time_unit=sent.time_unit,
            decimal=sent.decimal,
            separator=sent.separator,
            sample_rate=rate,
        )
    except CaptureError as error:
        raise Refusal(error.sentence, field="file") from error
    return FileRead(sent, samples, kept)


def keep(actor: Actor, session: Session, file: FileRead, *, note: str = "") -> Capture:
    """Keep the file inside another act, which writes the log line; one kept already stays."""
    if file.kept is not None:
        return file.kept
    content, samples = file.sent.content, file.samples
    capture = Capture.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        name=_plain_name(file.sent.name),
        note=note.strip()[:200],
        size=len(content),
        sha256=hashlib.sha256(content).hexdigest(),
        samples=samples.seconds.size,
        channels=len(samples.channels),
        seconds=float(samples.seconds[-1] - samples.seconds[0]),
    )
    # Level 1: a capture of a million lines must not keep the technician waiting.
    CaptureContents.objects.create(capture=capture, packed=zlib.compress(content, 1))
    return capture


def content_of(capture: Capture) -> bytes:
    """The file as it was sent."""
    packed = CaptureContents.objects.values_list("packed", flat=True).get(capture=capture)
    return zlib.decompress(bytes(packed))


def _rate(typed: str) -> float | None:
    if not typed.strip():
        return None
    try:
        rate = units.parse_number(typed)
    except units.UnitError as error:
        raise Refusal(error.sentence, field="sample_rate") from error
    if rate <= 0:
        raise Refusal("Samples per second are more than nought.", field="sample_rate")
    return rate


def _plain_name(name: str) -> str:
    """The file's own name, without a folder and without what no name needs."""
    last = name.replace("\\", "/").rpartition("/")[2]
    shown = "".join(letter for letter in last if letter.isprintable()).strip()
    return shown[-120:] or "capture"
