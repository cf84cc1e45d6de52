"""What the start knows and the settings must learn: address, host names, time zone."""

from __future__ import annotations

import os
import socket
from pathlib import Path

from shop.environment import env_text
from shop.serving import network
from shop.serving.options import LOOPBACK, Options
from shop.serving.problems import StartProblem


def tell_settings(options: Options) -> None:
    """Fill in what the environment leaves open. Nothing that a person set is changed."""
    nearby = network.addresses() if options.lan else []
    if options.lan and not nearby and not env_text("STUBAXLE_BASE_URL"):
        raise StartProblem(
            "This machine has no address on a local network, so tablets could not reach it; "
            "connect it to the workshop's network, or start without --lan."
        )
    host = nearby[0] if nearby else LOOPBACK
    _default("STUBAXLE_BASE_URL", f"http://{host}:{options.port}")
    names = ["localhost", LOOPBACK, "[::1]", *nearby]
    if options.lan:
        own = socket.gethostname().lower()
        names += [own, f"{own.partition('.')[0]}.local"]
    _default("STUBAXLE_HOSTS", ",".join(names))
    _default("STUBAXLE_TIME_ZONE", machine_zone())
    _default("STUBAXLE_HASHED_STATIC", "1")
    _default("DJANGO_SETTINGS_MODULE", "shop.settings")


def machine_zone() -> str:
    """The name of the time zone that this machine keeps; UTC when it does not say."""
    _, found, name = str(Path("/etc/localtime").resolve()).partition("/zoneinfo/")
    return name if found else "UTC"


def _default(name: str, value: str) -> None:
    if not env_text(name):
        os.environ[name] = value
