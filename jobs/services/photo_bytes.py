"""What was sent as a photo, checked by its content and made anew: upright, small, and without
the place, the device and whatever else a camera writes beside the picture."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from io import BytesIO

from django.conf import settings
from PIL import Image, ImageOps

from shop.errors import Refusal

MOST_BYTES = settings.LARGEST_REQUEST - 2**20  # the rest of the form needs room beside it
MOST_MEGABYTES = MOST_BYTES // 2**20
MOST_PIXELS = 64_000_000  # what tablets and telephones take; a screenful of nothing unpacks to more
LONG_SIDE, SMALL_SIDE = 2000, 320
QUALITY, SMALL_QUALITY = 85, 75
FORMATS = ("JPEG", "PNG", "WEBP")
NO_PHOTO = "This is no photo that can be read. Send a JPEG, PNG or WebP, as the camera makes them."
TOO_MANY_PIXELS = (
    f"This picture has more than {MOST_PIXELS // 1_000_000} million points. Take it with a lower "
    "setting of the camera, or send a part of it."
)
# Broken bytes make a decoder fail in many ways, and where warnings are errors, in that way too.
_BROKEN = (
    ArithmeticError,
    AttributeError,
    EOFError,
    LookupError,
    MemoryError,
    OSError,
    RuntimeError,
    SyntaxError,
    TypeError,
    ValueError,
    Warning,
    struct.error,
)


@dataclass(frozen=True, slots=True)
class Picture:
    """JPEG bytes of the photo and of its small view; sides in pixels."""

    jpeg: bytes
    small: bytes
    width: int
    height: int


def picture_of(raw: bytes) -> Picture:
    """The picture in `raw`. Raises Refusal [photo] when it is none, or too large."""
    if not raw:
        raise Refusal("The file is empty. Take the photo again.", field="photo")
    if len(raw) > MOST_BYTES:
        raise Refusal(
            f"This photo is larger than {MOST_MEGABYTES} MB. Take it with a lower setting of the "
            "camera.",
            field="photo",
        )
    try:
        upright = _decoded(raw)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refusal(TOO_MANY_PIXELS, field="photo") from None
    except _BROKEN as error:
        raise Refusal(NO_PHOTO, field="photo") from error
    small = upright.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Picture(_jpeg(upright, QUALITY), _jpeg(small, SMALL_QUALITY), *upright.size)


def _decoded(raw: bytes) -> Image.Image:
    """Upright, at most LONG_SIDE, in red, green and blue, with nothing beside the picture."""
    _small_enough(*_webp_sides(raw))
    with Image.open(BytesIO(raw), formats=FORMATS) as sent:
        _small_enough(*sent.size)
        # A JPEG is decoded straight to less than its full size where that is enough.
        sent.draft("RGB", (LONG_SIDE, LONG_SIDE))
        sent.load()
        turned = ImageOps.exif_transpose(sent)
        turned.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
        ground = Image.new("RGB", turned.size, "white")
        if turned.has_transparency_data:
            seen = turned.convert("RGBA")
            ground.paste(seen, mask=seen.getchannel("A"))
        else:
            ground.paste(turned.convert("RGB"))
        return ground


def _small_enough(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise Image.DecompressionBombError


def _webp_sides(raw: bytes) -> tuple[int, int]:
    """Of a WebP by its header, because its decoder takes its memory before it tells them.

    (0, 0) for anything else. Layout: RFC 9649, sections 2.5 to 2.7.
    """
    if raw[:4] != b"RIFF" or raw[8:12] != b"WEBP" or len(raw) < 30:
        return 0, 0
    kind = raw[12:16]
    if kind == b"VP8X":
        return (
            1 + int.from_bytes(raw[24:27], "little"),
            1 + int.from_bytes(raw[27:30], "little"),
        )
    if kind == b"VP8L":
        bits = int.from_bytes(raw[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    return (
        int.from_bytes(raw[26:28], "little") & 0x3FFF,
        int.from_bytes(raw[28:30], "little") & 0x3FFF,
    )


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    written = BytesIO()
    picture.save(written, "JPEG", quality=quality, optimize=True)
    return written.getvalue()
