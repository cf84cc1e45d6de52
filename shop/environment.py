"""Typed settings from the environment; a wrong value says what would be right. Pure."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import Any

import dj_database_url


class EnvironmentProblem(Exception):
    """A setting of the environment that will not do, in one sentence."""


def env_text(name: str, default: str) -> str:
    return os.environ.get(name, default)


def env_list(name: str, default: list[str]) -> list[str]:
    given = os.environ.get(name)
    return default if given is None else [part.strip() for part in given.split(",") if part.strip()]


def env_bool(name: str, *, default: bool) -> bool:
    given = os.environ.get(name, "").strip().lower()
    if given in {"", "1", "true", "yes", "on", "0", "false", "no", "off"}:
        return default if not given else given in {"1", "true", "yes", "on"}
    raise EnvironmentProblem(f"{name} is “{given}”; it takes 1 or 0.")


def env_secret(name: str, kept_in: Path) -> str:
    """The secret from NAME, from the file NAME_FILE, or from our own file, made once."""
    if given := os.environ.get(name):
        return given
    if path := os.environ.get(f"{name}_FILE"):
        return Path(path).read_text(encoding="utf-8").strip()
    if not kept_in.exists():
        kept_in.parent.mkdir(parents=True, exist_ok=True)
        kept_in.touch(mode=0o600)
        kept_in.write_text(secrets.token_urlsafe(48), encoding="utf-8")
    return kept_in.read_text(encoding="utf-8").strip()


def database_config(url: str, state: Path) -> dict[str, Any]:
    if url:
        config = dict(dj_database_url.parse(url))
        config["OPTIONS"] = {**config.get("OPTIONS", {}), "pool": True}
        return config
    state.mkdir(parents=True, exist_ok=True)
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": state / "stubaxle.sqlite3",
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
        },
    }
