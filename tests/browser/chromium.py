"""Which Chromium, and how it is started where no network is but this machine's own."""

from __future__ import annotations

import os
import shutil

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def find_chromium() -> str:
    """STUBAXLE_CHROMIUM, else Debian's. Raises RuntimeError when there is none."""
    found = os.environ.get("STUBAXLE_CHROMIUM") or shutil.which("chromium")
    if not found:
        raise RuntimeError(
            "Chromium is not here: install the package chromium, or say where one is in "
            "STUBAXLE_CHROMIUM."
        )
    return found
