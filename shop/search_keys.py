"""The form in which names and plates are stored for finding them. Pure."""

from __future__ import annotations

import unicodedata


def name_key(text: str) -> str:
    """Small letters without accents, one space between words: "Zoë  Ångström" -> "zoe angstrom"."""
    apart = unicodedata.normalize("NFKD", text)
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return " ".join(bare.casefold().split())


def plate_key(text: str) -> str:
    """Capital letters and digits only: "7kd-3318" -> "7KD3318"."""
    return "".join(letter for letter in text.upper() if letter.isalnum())
