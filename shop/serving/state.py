"""The state folder: may it be written, and is another server at work in it?"""

from __future__ import annotations

import fcntl
import os
import tempfile
from pathlib import Path

from shop.serving.problems import StartProblem


def prepare(folder: Path) -> None:
    """Make the folder if need be and prove that it can be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
        for kept in folder.glob("stubaxle.sqlite3*"):
            if not os.access(kept, os.R_OK | os.W_OK):
                raise PermissionError(13, "Permission denied", str(kept))
    except OSError as error:
        raise StartProblem(
            f"{error.filename or folder} cannot be written ({error.strerror}); start Stubaxle as "
            "the owner of that folder, or name another folder in STUBAXLE_STATE."
        ) from error


def claim(folder: Path, address: str) -> int:
    """Lock the folder for this server; the lock lives as long as the handle that is returned."""
    handle = os.open(folder / "server.lock", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        raise StartProblem(_who_runs(os.read(handle, 200).decode())) from error
    os.ftruncate(handle, 0)
    os.write(handle, f"{os.getpid()} {address}".encode())
    return handle


def _who_runs(line: str) -> str:
    process, _, address = line.partition(" ")
    where = f" at {address}" if address else ""
    who = f" (process {process})" if process else ""
    return f"Stubaxle is already running{where}{who}; use that one, or stop it first."
