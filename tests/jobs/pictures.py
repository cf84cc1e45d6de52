"""Made pictures, and photos of a complaint."""

from __future__ import annotations

from io import BytesIO
from typing import Any
from uuid import uuid4

from PIL import Image

from jobs.models import Complaint, Photo
from jobs.services import photos
from shop.actor import Actor


def a_picture(
    width: int = 64, height: int = 48, kind: str = "JPEG", colour: Any = (200, 60, 20), **more: Any
) -> bytes:
    """Bytes of a picture; another colour is another picture."""
    written = BytesIO()
    mode = "RGBA" if len(colour) == 4 else "RGB"
    Image.new(mode, (width, height), colour).save(written, kind, **more)
    return written.getvalue()


def a_photo(actor: Actor, complaint: Complaint, *, shows: str = "fault", **more: Any) -> Photo:
    return photos.add(
        actor,
        act=uuid4(),
        complaint=complaint,
        raw=a_picture(**more),
        shows=shows,
        words="Left rear",
    )
