"""From the bytes of a file to plain lines: encodings, line ends, quotes; what is no text. Pure."""

from __future__ import annotations

import re

from diagnostics.capture_files.samples import MAX_BYTES, CaptureError

LOOKED_AT = 65_536
_ODD_BYTES = bytes(set(range(32)) - {9, 10, 12, 13})
_ODD_SHARE = 0.02

# How files begin that are sometimes taken for a capture.
_SIGNATURES: tuple[tuple[bytes, str], ...] = (
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"BM", "a picture"),
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "a spreadsheet or an archive"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet"),
    (b"\x1f\x8b", "a compressed file"),
)
_HALF_QUOTED = re.compile(rb'[0-9.][,]"[-+ ]*[0-9]*,[0-9]|[0-9]",[-+.0-9]')


def plain_text(content: bytes) -> tuple[bytes, bool]:
    """The file as bytes in which digits, signs and separators are ASCII and lines end in LF, and
    whether its cells were quoted with commas between them (which are semicolons then).

    Raises CaptureError for what is empty, too large or no text.
    """
    if len(content) > MAX_BYTES:
        raise CaptureError(
            f"The file is larger than {MAX_BYTES // 1024**2} MiB. "
            "Export a shorter stretch, or fewer digits."
        )
    text = _as_ascii_based(content).replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not text.strip():
        raise CaptureError("The file is empty.")
    _refuse_junk(text)
    return _without_quotes(text)


def _as_ascii_based(content: bytes) -> bytes:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _from_utf16(content, "utf-16")
    # A mark may be missing: ASCII written in two bytes has a NUL at every other place.
    begin = content[:400]
    if len(begin) >= 4 and not any(begin[1::2]) and all(begin[::2]):
        return _from_utf16(content, "utf-16-le")
    if len(begin) >= 4 and not any(begin[::2]) and all(begin[1::2]):
        return _from_utf16(content, "utf-16-be")
    return content.removeprefix(b"\xef\xbb\xbf").rstrip(b"\0\x1a")


def _from_utf16(content: bytes, encoding: str) -> bytes:
    try:
        return content.decode(encoding).encode("utf-8")
    except UnicodeError:
        raise CaptureError(
            "The file begins as UTF-16 text but is not readable as such. Export it again as CSV."
        ) from None


def _refuse_junk(text: bytes) -> None:
    for signature, what in _SIGNATURES:
        if text.startswith(signature):
            raise CaptureError(
                f"This is {what}, not a text of numbers. Export the capture as CSV or text."
            )
    begin = text[:LOOKED_AT]
    odd = len(begin) - len(begin.translate(None, _ODD_BYTES))
    if b"\0" in text or odd > _ODD_SHARE * len(begin):
        raise CaptureError(
            "This is not a text file: it holds bytes that no text has. "
            "Export the capture as CSV or text."
        )


def _without_quotes(text: bytes) -> tuple[bytes, bool]:
    if b'"' not in text[:LOOKED_AT]:
        return text, False
    commas = b'","' in text
    bare = text.replace(b'","', b";")
    if _HALF_QUOTED.search(bare[:LOOKED_AT]):
        raise CaptureError(
            "Some cells are in quotes and some are not, with commas between and inside them. "
            "Export with semicolons between the columns."
        )
    return bare.replace(b'"', b""), commas
